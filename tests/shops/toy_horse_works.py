"""A shop with a branch, a Y, gates, a hose and a machine of two ports, for the tests of the edits. Invented data."""

from __future__ import annotations

from dataclasses import replace

from engine.design import Cleanout, CollectorLoss, CurvePoint, Design, Elbow, Gate, GateSet, Hose, Machine, OwnLoss, Port, Run, Straight
from engine.design.rules.consistency import mistakes
from engine.units import Quantity, parse
from tests.shops.small_shops import FALLING, collector, hose, pipe, q


def quantity(si: float, unit: str, dimension: str) -> Quantity:
    return parse(f"{si} {unit}", dimension)


def straight(length: str) -> Straight:
    return Straight(length=q(length))


def elbow(toward: str | None = None) -> Elbow:
    return Elbow(angle=q("90 deg", "angle"), toward=toward)


def machine(name: str, *ports: str) -> Machine:
    return Machine(id=name, ports=tuple(Port(id=port, bore=q("100 mm", "bore"), needs=q("500 m3/h", "flow")) for port in ports))


def workshop(display: str = "metric"):
    """A main with a branch, a change of size into a Y, gates, a hose and a machine with two ports."""
    curve = tuple(CurvePoint(flow=quantity(flow, "m3/s", "flow"), pressure=quantity(p, "Pa", "pressure")) for flow, p in FALLING)
    loss = CollectorLoss(name="filter", drop=q("300 Pa", "pressure"), at=q("1500 m3/h", "flow"))
    return Design(
        name="Toy-horse works",
        display=display,
        collector=replace(collector(), inlet=q("160 mm", "bore"), curve=curve, losses=(loss,)),
        stock=(pipe(100, 125, 160), hose(100, 125)),
        machines=(machine("planer", "hood", "table"), machine("band saw", "lower"), machine("sander", "belt")),
        runs=(
            Run(
                id="main",
                joins="collector",
                size="pipe/160",
                pieces=(straight("1.2 m"), elbow("west"), straight("2.6 m"), elbow("up"), Cleanout(name="by the door")),
            ),
            Run(
                id="planer drop",
                joins="main",
                as_="branch",
                toward="north",
                size="pipe/125",
                ends="planer/hood",
                port_taper=q("20 deg", "angle"),
                pieces=(Gate(name="planer gate"), straight("0.8 m"), OwnLoss(loss=0.3, name="magnet trap"), Hose(length=q("0.6 m"), size="hose/125")),
            ),
            Run(id="far main", joins="main", size="pipe/125", pieces=(straight("3 m"),)),
            Run(
                id="saw leg",
                joins="far main",
                as_="leg",
                size="pipe/100",
                pieces=(straight("1 m"), Gate(name="saw gate"), straight("1 m")),
                ends="band saw/lower",
            ),
            Run(id="sander leg", joins="far main", as_="leg", size="pipe/100", pieces=(straight("2 m"),), ends="sander/belt"),
        ),
        gate_sets=(GateSet(name="planer alone", open=("planer",)), GateSet(name="saw and sander", open=("band saw", "sander"))),
    )


def runs_of(design) -> dict[str, Run]:
    return {run.id: run for run in design.runs}


def consistent(design):
    assert mistakes(design) == ()
    return design
