"""Random designs, from plausible to absurd, for the solver to get through. Invented data."""

from __future__ import annotations

from dataclasses import replace
from math import radians
from random import Random
from typing import Any

from engine.design import Collector, Design, Elbow, Gate, Hose, Machine, Run, Site, Straight
from engine.design.entries import entries
from engine.units import parse, unit_list
from tests.shops.small_shops import collector, hose, machine, pipe, si

BORES = (40, 50, 63, 80, 100, 112, 125, 140, 150, 160, 180, 200, 224, 250, 280, 315, 355, 400)


def random_design(rng: Random, most_ports: int = 60, *, plausible: bool = False) -> Design:
    """A design of 1 to `most_ports` ports. Plausible: nothing widens outward; else bores are any."""
    runs: list[Run] = []
    machines: list[Machine] = []
    wanted = rng.choice([1, 2, 3, 5, 8, rng.randint(1, most_ports)])
    bore = rng.choice(BORES[6:] if plausible else BORES)
    runs.append(_run(rng, "r0", "collector", bore))
    open_ends = [("r0", bore)]
    while open_ends:
        parent, bore = open_ends.pop(rng.randrange(len(open_ends)))
        if len(machines) + len(open_ends) + 1 >= wanted or rng.random() < 0.1:
            _end(rng, runs, machines, parent, bore)
            continue
        for join in _joint(rng):
            name = f"r{len(runs)}"
            child = rng.choice([b for b in BORES if b <= bore][-4:]) if plausible else rng.choice(BORES)
            runs.append(_run(rng, name, parent, child, **join))
            open_ends.append((name, child))
    site = Site(altitude=si(rng.choice([0.0, 0.0, rng.uniform(0, 3000)])))
    return Design(name="random", site=site, collector=_collector(rng), stock=(pipe(*BORES), hose(*BORES)), machines=tuple(machines), runs=tuple(runs))


def typed(item: Any) -> Any:
    """A design, or a part of one, with every quantity as somebody would have typed it."""
    changes: dict[str, Any] = {}
    for name, entry in entries(type(item)).items():
        value = getattr(item, name)
        if entry.kind == "quantity" and value is not None:
            unit = unit_list(entry.dimension).split(", ")[0]
            changes[name] = parse(f"{value.si / parse(f'1 {unit}', entry.dimension).si:.6g} {unit}", entry.dimension)
        elif entry.kind == "table" and value is not None:
            changes[name] = typed(value)
        elif entry.kind == "list":
            changes[name] = tuple(map(typed, value))
    return replace(item, **changes)


def random_ports(rng: Random, design: Design) -> list[str]:
    """One port, all of them, or any of them."""
    every = [run.ends for run in design.runs if run.ends]
    return rng.choice([every, [rng.choice(every)], rng.sample(every, rng.randint(1, len(every)))])


def _joint(rng: Random) -> list[dict]:
    def lean() -> dict:
        return {"angle": si(radians(rng.choice([15, 30, 45, 60, 75, 90]))), "taper": rng.choice([None, None, si(radians(rng.uniform(5, 180)))])}

    kind = rng.choice(["wye", "wye", "wye", "y", "facing", "size", "lone"])
    known = rng.choice([None, None, None, None, rng.uniform(-0.5, 2.0)])
    if kind == "y":
        angle = lean()
        return [{"as_": "leg", **angle}, {"as_": "leg", **angle}]
    if kind == "facing":
        return [{"as_": "straight"}, {"as_": "branch", **lean()}, {"as_": "branch", **lean()}]
    if kind == "size":
        return [{"as_": "straight", "taper": si(radians(rng.uniform(5, 180))), "loss": known and abs(known)}]
    if kind == "lone":
        return [{"as_": "branch", **lean()}]
    return [{"as_": "straight"}, {"as_": "branch", "loss": known, **lean()}]


def _run(rng: Random, name: str, joins: str, bore: int, **join) -> Run:
    pieces = [Straight(length=si(rng.choice([0.1, 60.0, rng.uniform(0.1, 60), rng.uniform(0.5, 6)])))]
    for _ in range(rng.randint(0, 2)):
        make = rng.choice(["smooth", "segmented", "mitred"])
        pieces.append(Elbow(angle=si(radians(rng.choice([30, 45, 60, 90]))), make=make, radius=rng.choice([0.75, 1.0, 1.5, 2.0])))
    return Run(id=name, joins=joins, size=f"pipe/{bore}", pieces=tuple(pieces), **join)


def _end(rng: Random, runs: list[Run], machines: list[Machine], parent: str, bore: int) -> None:
    """Let the open end of `parent` end at a machine of its own."""
    made = machine(f"m{len(machines)}", rng.choice([bore, rng.choice(BORES)]), loss=rng.uniform(0.0, 6.0))
    machines.append(made)
    index = int(parent[1:])
    run = runs[index]
    pieces = [*run.pieces, Gate(name=f"gate {made.id}")]
    if rng.random() < 0.5:
        pieces.append(Hose(length=si(rng.uniform(0.2, 4.0)), size=f"hose/{rng.choice([bore, rng.choice(BORES)])}", bend=si(rng.uniform(0, 3))))
    runs[index] = Run(
        id=run.id,
        joins=run.joins,
        as_=run.as_,
        angle=run.angle,
        taper=run.taper,
        loss=run.loss,
        size=run.size,
        pieces=tuple(pieces),
        ends=f"{made.id}/hood",
    )


def _collector(rng: Random) -> Collector:
    top, flow = rng.uniform(300, 8000), rng.uniform(0.05, 3.0)
    shape = rng.choice([
        ((0, 1.0), (0.4, 0.9), (0.8, 0.5), (1.0, 0.0)),
        ((0, 0.7), (0.25, 1.0), (0.5, 0.95), (0.8, 0.5), (1.0, 0.0)),
        ((0, 1.0), (0.5, 1.0), (1.0, 0.99)),
        ((0, 1.0), (0.3, 0.8), (0.6, 0.7)),
        ((0.1, 0.9), (0.5, 0.6), (1.0, 0.1)),
        ((0, 0.9), (0.2, 0.8), (0.5, 1.0), (1.0, 0.2)),
    ])  # fmt: skip
    return collector([(x * flow, y * top) for x, y in shape], inlet=rng.choice(BORES) / 1000)
