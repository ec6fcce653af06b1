"""Shops of any length, every thing in its place: machines in a row under one main with a gated drop to each. Invented data."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

from engine.design import Collector, Corner, CurvePoint, Design, Elbow, Gate, GateSet, Hose, Machine, Port, Run, Site, Straight
from tests.shops.small_shops import at, hose, pipe, q

_APART, _SETS = 1.5, 4


def long_shop(runs: int) -> Design:
    """A design of so many runs, an odd number of at least 3: a stretch of main to each drop; four gate sets of two machines."""
    drops = (runs + 1) // 2
    made: list[Run] = []
    machines = []
    for i in range(drops):
        joins = f"main {i - 1}" if i else "collector"
        name, port = f"m{i}", Port(id="hood", bore=q("100 mm", "bore"), needs=q("500 m3/h", "flow"), loss=1.5)
        machines.append(Machine(id=name, **at(_APART * (i + 1) + 0.7, 1.6), ports=(port,)))
        way = Elbow(angle=q("90 deg", "angle"), toward="down"), Straight(length=q("1 m"))
        end = Hose(length=q("0.8 m"), size="hose/100")
        if i == drops - 1:
            made.append(Run(id=f"drop {i}", joins=joins, size="pipe/100", ends=f"{name}/hood", pieces=(Gate(name=f"gate {i}"), *way, end)))
            break
        made.append(Run(id=f"main {i}", joins=joins, size="pipe/200", pieces=(Straight(length=q(f"{_APART} m")),)))
        made.append(
            Run(
                id=f"drop {i}",
                joins=f"main {i}",
                as_="branch",
                angle=q("45 deg", "angle"),
                toward="north",
                size="pipe/100",
                ends=f"{name}/hood",
                pieces=(Gate(name=f"gate {i}"), Straight(length=q("1.4 m")), *way, end),
            )
        )
    far = _APART * (drops + 2)
    corners = tuple(Corner(**{axis: place[axis] for axis in ("east", "north")}) for place in (at(-1, -1), at(far, -1), at(far, 4), at(-1, 4)))
    curve = tuple(CurvePoint(flow=q(f"{flow} m3/h", "flow"), pressure=q(f"{pressure} Pa", "pressure")) for flow, pressure in _CURVE)
    sets = tuple(GateSet(name=f"set {n}", open=tuple(dict.fromkeys((f"m{n * (drops - 1) // _SETS}", f"m{drops - 1}")))) for n in range(_SETS))
    stands = Collector(**at(0, 0, 2.4), faces="east", inlet=q("200 mm", "bore"), basis="inlet suction", curve=curve)
    stock, site = (pipe(100, 200), hose(100)), Site(height=q("3 m"), room=corners)
    return Design(name="long shop", site=site, stock=stock, machines=tuple(machines), collector=stands, runs=tuple(made), gate_sets=sets)


def longer_by_a_hand(design: Design) -> Design:
    """The design with the first stretch of its main 0.1 m longer."""
    first, *others = design.runs
    longer = replace(first, pieces=(Straight(length=q(f"{_APART + 0.1:g} m")),))
    return replace(design, runs=(longer, *others))


_CURVE = tuple((flow, round(3200 * sqrt(1 - (flow / 4000) ** 2))) for flow in range(0, 4001, 500))
