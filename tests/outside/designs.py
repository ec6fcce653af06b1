"""Designs of workshops for checks and benches. Invented data.

With `fixed`, every joint has one coefficient for all its legs and the
collector's curve is a parabola, so that solvers without joints and fans of
our kind can take the same network.
"""

from __future__ import annotations

from math import pi, radians, sqrt

from engine.design import (
    Cleanout,
    Collector,
    CollectorLoss,
    CurvePoint,
    Design,
    Elbow,
    Gate,
    Hose,
    Machine,
    OwnLoss,
    Port,
    Run,
    Site,
    Stock,
    StockSize,
)  # fmt: skip
from tests.shops.small_shops import collector, hose, machine, pipe, run, shop, si


def workshop(ports: int, *, fixed: bool = True, gate_sets: int = 0) -> Design:
    """A tree of machines on mains that halve unevenly: 2 x `ports` - 1 runs; a third of them at work in each gate set."""
    runs: list[Run] = []
    machines: list[Machine] = []
    waiting: list[tuple[int, str, dict]] = [(ports, "collector", {})]
    while waiting:
        count, joins, join = waiting.pop()
        i, bore = len(runs), 5 * round(20 * sqrt(count))
        if count == 1:
            runs.append(_drop(f"r{i}", joins, bore, f"m{len(machines)}", i, join))
            machines.append(machine(f"m{len(machines)}", 100, 0.14, 0.8 + i % 5 * 0.4))
            continue
        runs.append(run(f"r{i}", joins, bore, 1.0 + i * 7 % 5, *([Elbow(angle=si(pi / 2))] if i % 3 == 0 else []), **join))
        known = {"loss": 0.05 + 0.03 * (i % 4)} if fixed else {}
        branch = max(1, count // 3)
        angle = {0: si(radians(30)), 1: None, 2: si(radians(75))}[i % 3]
        waiting.append((branch, f"r{i}", dict(as_="branch", angle=angle, **known)))
        waiting.append((count - branch, f"r{i}", known))
    sets = [[f"m{k}" for k in range(ports) if k * (n + 1) % (ports + 1) < ports / 3] for n in range(gate_sets)]
    bore = 0.005 * round(20 * sqrt(ports))
    return shop(*runs, machines=machines, sets=sets, collector=estimate(bore, 0.22 * ports, 3200.0) if fixed else falling(bore, 0.22 * ports, 3200.0))


def _drop(name: str, joins: str, bore: int, ends: str, i: int, join: dict) -> Run:
    pieces = [0.8 + i * 5 % 7 * 0.6, Elbow(angle=si(pi / 2), make=("smooth", "segmented")[i % 2]), Gate(name=f"gate {ends}"), 1.5]
    pieces += [OwnLoss(loss=0.1 + i % 3 * 0.2), Hose(length=si(0.5 + i % 4 * 0.3), size="hose/100", bend=si(pi / 4))]
    return run(name, joins, bore, *pieces, ends=f"{ends}/hood", **join)


def estimate(inlet: float, free_air: float, max_suction: float) -> Collector:
    """A collector known by two figures, which makes its curve a parabola."""
    return Collector(inlet=si(inlet), free_air=si(free_air), max_suction=si(max_suction))


def falling(inlet: float, free_air: float, max_suction: float) -> Collector:
    """A collector with a curve."""
    points = ((0.0, 1.0), (0.4, 0.92), (0.7, 0.6), (1.0, 0.0))
    return collector([(x * free_air, y * max_suction) for x, y in points], inlet=inlet)


def lone_duct() -> Design:
    """One duct with a hose of another bore, at a port of a third whose suction was measured; thin air."""
    sander = Machine(id="sander", ports=(Port(id="hood", bore=si(0.063), needs=si(0.05), suction=si(900.0)),))
    pieces = [4.0, Elbow(angle=si(pi / 4), make="segmented", gores=3), Hose(length=si(2.0), size="hose/80", compressed=0.1, bend=si(2.0))]
    duct = run("duct", "collector", 100, *pieces, ends="sander/hood", port_taper=si(pi))
    return shop(duct, machines=[sander], collector=estimate(0.125, 0.3, 2500.0), site=Site(altitude=si(2500.0), temperature=si(303.15)))


def manifold() -> Design:
    """Five hoses from one box, the coefficient of the box known."""
    runs = [run("main", "collector", 200, 6.0)]
    runs += [run(f"hose {i}", "main", 80 + 10 * i, 0.5 + 1.7 * i, as_="branch", angle=si(radians(30)), loss=0.3, ends=f"m{i}/hood") for i in range(5)]
    return shop(*runs, machines=[machine(f"m{i}", 100) for i in range(5)], collector=estimate(0.16, 0.9, 2800.0))


def stepped() -> Design:
    """Changes of bore with and without known coefficients, one run that widens outward, and long smooth pipe."""
    smooth = Stock(id="smooth", kind="pipe", material="PVC", sizes=(StockSize(nominal="63", bore=si(0.0594)),), elbow_radius=1.0)
    runs = (
        run("trunk", "collector", 160, 3.0),
        run("narrow", "trunk", 125, 2.0, taper=si(radians(60))),
        run("wide", "narrow", 150, 2.5, loss=0.4),
        run("box", "wide", 150, 0.6, as_="branch", loss=0.7),
        run("drop", "box", 100, 3.0, Gate(name="drop", loss=0.2), as_="branch", loss=0.25, ends="planer/hood"),
        Run(id="far", joins="box", loss=0.25, size="smooth/63", pieces=(*run("", "", 63, 18.0).pieces, Elbow(angle=si(pi / 2))), ends="saw/hood"),
    )
    bores = pipe(100, 125, 150, 160)
    machines = (machine("planer", 120), machine("saw", 50, loss=2.2))
    return Design(name="stepped", collector=estimate(0.16, 0.5, 3000.0), stock=(bores, smooth, hose(80)), machines=machines, runs=runs)


def assorted() -> Design:
    """What the other designs leave out: a fan-total curve with losses of its own, bores without a stock, and most fields left to their defaults."""
    points = tuple(CurvePoint(flow=si(flow), pressure=si(pressure)) for flow, pressure in ((0.05, 2600.0), (0.3, 2500.0), (0.6, 1500.0)))
    losses = (CollectorLoss(name="filter", drop=si(250.0), at=si(0.4), law="linear"), CollectorLoss(name="cyclone", drop=si(400.0), at=si(0.4)))
    fan = Collector(inlet=si(0.18), basis="fan total", outlet=si(0.15), density=si(1.15), curve=points, losses=losses)
    runs = (
        run("main", "collector", 200, 2.0, Elbow(angle=si(pi / 2), make="mitred"), Cleanout(name="main")),
        Run(id="box", joins="main", as_="leg", bore=si(0.12), material="steel", pieces=run("", "", 63, 1.0).pieces),
        run("side", "main", 100, 3.0, as_="leg", taper=si(radians(40)), ends="lathe/hood"),
        run("drop", "box", 80, 2.0, Hose(length=si(1.0)), as_="branch", ends="saw/hood"),
        run("end", "box", 100, 0.5, Hose(length=si(1.0), size="hose/125"), Elbow(angle=si(1.2), radius=2.0), ends="planer/hood"),
        run("bench", "box", 63, 1.0, OwnLoss(loss=2.0), as_="branch", angle=si(pi / 2), taper=si(pi), ends="bench/hood"),
    )
    bench = Machine(id="bench", ports=(Port(id="hood", bore=si(0.05), needs=si(0.03)),))
    return shop(*runs, machines=[machine("lathe"), machine("saw", 70), machine("planer", 125), bench], collector=fan)


def connected(design: Design) -> list[str]:
    """All ports that a run ends at."""
    return [run.ends for run in design.runs if run.ends]
