"""Random shops of machines of the catalog, on a floor and without ducts. Invented data."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from engine import catalog
from engine.design import Collector, Conveying, CurvePoint, Design, GateSet, Machine, Stock
from engine.design.from_catalog import ports_of_kind, stock_of
from engine.search.layouts.drafting import Draft, order, rough_draft, task_of
from engine.search.layouts.shop import shops_of
from engine.search.layouts.ways.layouts import best_of_each
from engine.shapes.vectors import DIRECTIONS
from tests.shops.small_shops import at, q

KINDS = [Machine(id="", ports=ports_of_kind(kind)) for kind in catalog.machine_kinds()]
COLLECTOR = Collector(
    inlet=q("160 mm", "bore"),
    curve=tuple(
        CurvePoint(flow=q(f"{flow} m3/h", "flow"), pressure=q(f"{pressure} Pa", "pressure"))
        for flow, pressure in ((0, 2400), (1000, 2150), (2000, 1200), (2600, 0))
    ),
)


def rough_drafts(design: Design) -> list[Draft]:
    """Every kind of layout of a design, in bores for the flows needed, the best first."""
    shop, *_ = shops_of(design)
    return sorted((rough_draft(shop, plan) for plan in best_of_each(task_of(shop))), key=order)


def random_shop(rng: Random, most: int = 20) -> Design:
    """A shop of 1 to `most` machines of the catalog, some unplaced, on a floor of up to 14 by 9 m."""
    metric = rng.random() < 0.5
    machines = []
    for i in range(rng.randint(1, most)):
        place = at(rng.uniform(0, 14), rng.uniform(0, 9), rng.uniform(0.2, 1.4))
        for way in rng.choice([(), (), (), ("up",), ("east", "north", "up"), ("north",)]):
            del place[way]
        machines.append(Machine(id=f"machine {i}", ports=rng.choice(KINDS).ports, **place))
    place = rng.choice([{}, at(rng.uniform(0, 14), rng.uniform(0, 9), rng.uniform(0.3, 3.0))])
    facing = {"faces": rng.choice([None, None, *DIRECTIONS])}
    sets = tuple(
        GateSet(name=f"set {i}", open=tuple(m.id for m in rng.sample(machines, rng.randint(1, len(machines))))) for i in range(rng.choice([0, 0, 3]))
    )
    return Design(
        name="random", display="metric" if metric else "imperial", machines=tuple(machines), gate_sets=sets,
        collector=replace(COLLECTOR, inlet=q(rng.choice(["100 mm", "160 mm", "200 mm"]), "bore"), **place, **facing),
        conveying=Conveying(material=rng.choice(catalog.conveyed_materials())), stock=random_stock(rng),
    )  # fmt: skip


def random_stock(rng: Random) -> tuple[Stock, ...]:
    pipes = [stock_of(family) for family in catalog.pipe_families() if family.kind == "pipe"]
    chosen = rng.choice(pipes)
    some = replace(chosen, sizes=tuple(replace(size, in_store=rng.random() < 0.6) for size in chosen.sizes))
    other = rng.choice([pipe for pipe in pipes if pipe.id != chosen.id])
    hose = stock_of(catalog.pipe_family("hose"))
    return rng.choice([(), (some,), (chosen, hose), (hose, other, some)])
