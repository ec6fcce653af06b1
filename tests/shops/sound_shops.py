"""Random shops made backwards: ducts without a fault first, machines where they end. Invented data.

What is left when the ducts are taken away is a shop for which there is an
answer, and its price is known.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil, pi
from random import Random

from engine.checks.assess import assess
from engine.design import (
    Cleanout,
    Collector,
    Corner,
    CurvePoint,
    Design,
    Elbow,
    Gate,
    GateSet,
    Hose,
    Machine,
    Piece,
    Port,
    Run,
    Site,
    Stock,
    StockSize,
    Straight,
)  # fmt: skip
from engine.parts.price import price_of
from engine.search.sizing import local
from engine.search.sizing.plant import plant_of
from engine.space.geometry import space_of
from engine.units import parse
from tests.shops.small_shops import at, q

BORES = (80, 100, 125, 140, 150, 160, 180, 200)
_OFF = 0.15  # of the main from wall and ceiling, m
_HOSE = 0.5
_TRIES = 40
_PRESSURES = (1600, 2000, 2500, 3200, 4000, 5000)  # of collectors, Pa


@dataclass(frozen=True)
class SoundShop:
    """A shop without ducts, the design that it was made from, and what that costs."""

    bare: Design
    made_from: Design
    price: float


def sound_shop(seed: int) -> SoundShop:
    """The shop of a seed: two to seven machines along one main under the ceiling, each alone and some together."""
    rng = Random(seed)
    count = rng.randint(2, 7)
    for _ in range(_TRIES):
        sound = _without_faults(_ducts(rng, count), rng)
        if sound:
            return SoundShop(replace(sound, runs=()), sound, price_of(sound).total)
    raise AssertionError(f"seed {seed}: no design without faults in {_TRIES} tries")


def _stock() -> tuple[Stock, Stock]:
    pipe, flex = (tuple(StockSize(nominal=f"{mm}", bore=q(f"{mm} mm", "bore"), price=round(each * mm, 2)) for mm in BORES) for each in (0.06, 0.11))
    return (
        Stock(id="spiral", kind="pipe", material="galvanised spiral", sizes=pipe),
        Stock(id="flex", kind="hose", material="flexible hose", sizes=flex),
    )


def _fit(flow: float, speed: float) -> int:
    """The bore, mm, whose speed at a flow is nearest above one."""
    fast_enough = [mm for mm in BORES if flow >= speed * pi / 4 * (mm / 1000) ** 2]
    return max(fast_enough, default=BORES[0])


def _ducts(rng: Random, count: int) -> Design:
    """A main along the south wall, branches to the north, their machines where they end; the collector's curve is still to be found."""
    height, usual = rng.uniform(2.6, 3.6), rng.uniform(0.15, 0.28)
    flows = [usual * rng.uniform(0.65, 1.35) for _ in range(count)]
    branches = [_fit(flow, 21.0) for flow in flows]
    mains = [_fit(min(flows[i:]), 18.5) for i in range(count)]
    for i in reversed(range(count)):
        mains[i] = max(mains[i], *branches[i:], *mains[i + 1 : i + 2])
    inlet = mains[0]
    top, up = round(height - inlet / 2000 - _OFF, 2), round(rng.uniform(0.9, 1.5), 2)
    lead, bend = round(6 * inlet / 1000 + 0.03, 2), 1.5 * inlet / 1000
    rise = round(top - up - 2 * bend, 2)
    runs: list[Run] = []
    pieces: list[Piece] = [
        _straight(lead), _elbow(90, "up"), *([_straight(rise)] if rise > 0.05 else []), _elbow(90, "east"), Cleanout(name="riser"),
    ]  # fmt: skip
    joins, bend = "collector", 1.5 * inlet / 1000
    for i in range(count):
        pieces.append(_straight(round(rng.uniform(1.2, 2.6), 2)))
        pieces.append(Cleanout(name=f"lid {i}"))
        runs.append(Run(id=f"main {i}", joins=joins, size=f"spiral/{mains[i]}", pieces=tuple(pieces)))
        runs.append(_drop(rng, i, branches[i], f"main {i}", top, last=i == count - 1))
        joins, pieces = f"main {i}", []
    where = {"east": q("0.6 m"), "north": q(f"{_OFF + inlet / 2000 + 0.4:.2f} m"), "up": q(f"{up} m")}
    machines = tuple(
        Machine(id=f"m{i}", ports=(Port(id="hood", bore=q(f"{branches[i]} mm", "bore"), needs=_flow(flows[i]), loss=rng.choice([1.0, 1.5])),))
        for i in range(count)
    )
    return Design(
        name="sound shop", collector=Collector(inlet=q(f"{inlet} mm", "bore"), faces="east", basis="fan static", curve=_curve(1000, 0.4), **where),
        stock=_stock(), machines=machines, runs=tuple(runs), gate_sets=_sets(rng, count), site=Site(height=q(f"{height:.2f} m")),
    )  # fmt: skip


def _drop(rng: Random, i: int, bore: int, joins: str, top: float, *, last: bool) -> Run:
    bend, port = 1.5 * bore / 1000, round(rng.uniform(0.5, 1.1), 2)
    across, fall = round(rng.uniform(0.6, 2.8), 2), round(top - bend - port - 0.4, 2)
    gate, flex = Gate(name=f"gate {i}"), Hose(length=q(f"{_HOSE} m"), size=f"flex/{bore}", bend=parse("45 deg", "angle"))
    away: list[Piece] = [gate, _straight(0.6), _elbow(45, "north")]
    down: list[Piece] = [_straight(across), _elbow(90, "down"), _straight(fall), flex]
    join = {} if last else {"as_": "branch", "angle": parse("45 deg", "angle"), "toward": "north"}
    pieces = [gate, _straight(0.8), _elbow(90, "north"), *down] if last else [*away, *down]
    return Run(id=f"drop {i}", joins=joins, size=f"spiral/{bore}", pieces=tuple(pieces), ends=f"m{i}/hood", **join)


def _with_machines(design: Design, rng: Random) -> Design:
    """Every machine a hose's length below the end of its pipe, or a little aside."""
    ways, placed = space_of(design).ways, []
    for i, machine in enumerate(design.machines):
        *_, hose = ways[f"drop {i}"].stretches
        east, north, up = hose.start
        placed.append(replace(machine, **at(east + rng.uniform(-0.15, 0.15), north + rng.uniform(-0.15, 0.15), up - 0.4)))
    return replace(design, machines=tuple(placed))


def _room_round(design: Design, rng: Random) -> Design:
    """Walls round it all, the south one beside the main."""
    points = [point for way in space_of(design).ways.values() for point in way.points]
    east, north = (max(point[axis] for point in points) + rng.uniform(0.6, 2.0) for axis in (0, 1))
    main = min(point[1] for point in points) - _OFF - design.collector.inlet.si / 2
    corners = ((-0.4, main), (east, main), (east, north), (-0.4, north))
    room = tuple(Corner(east=q(f"{x:.2f} m"), north=q(f"{y:.2f} m")) for x, y in corners)
    return replace(design, site=replace(design.site, room=room))


def _sets(rng: Random, count: int) -> tuple[GateSet, ...]:
    """Every machine alone, and some two at once."""
    sets = [GateSet(name=f"m{i} alone", open=(f"m{i}",)) for i in range(count)]
    if count > 2:
        for nth in range(rng.randint(0, 2)):
            one, other = rng.sample(range(count), 2)
            sets.append(GateSet(name=f"two at once {nth}", open=(f"m{one}", f"m{other}")))
    return tuple(sets)


def _without_faults(design: Design, rng: Random) -> Design | None:
    """The design with the weakest of some collectors with which cheap sizes are found that leave no fault; None where there are none."""
    free = rng.uniform(0.35, 0.6)
    for pressure in _PRESSURES:
        made = replace(design, collector=replace(design.collector, curve=_curve(pressure, free)))
        plant = plant_of(made, share=1.0, lenient=True)
        found = local.look(plant, plant.choices.largest())
        if found.share < 1.0:
            continue
        *_, found = local.search(plant, local.cheapest, starts=1)
        if found.off == 0.0:
            made = _room_round(_with_machines(plant.choices.design_of(found.choice), rng), rng)
            return None if assess(made).count("fault") else made
    return None


def _curve(top: float, free: float) -> tuple[CurvePoint, ...]:
    shape = ((0.0, 1.0), (0.4, 0.9), (0.7, 0.62), (1.0, 0.0))
    return tuple(CurvePoint(flow=_flow(x * free), pressure=parse(f"{y * top:.0f} Pa", "pressure")) for x, y in shape)


def _flow(cubic_metres: float):
    return parse(f"{ceil(cubic_metres * 3600)} m^3/h", "flow")


def _straight(metres: float) -> Straight:
    return Straight(length=q(f"{metres:.2f} m"))


def _elbow(degrees: int, toward: str) -> Elbow:
    return Elbow(angle=parse(f"{degrees} deg", "angle"), toward=toward)
