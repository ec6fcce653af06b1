"""What each remedy says, done: designs with a finding and what becomes of them, for the tests of the remedies' words. Invented data."""

from __future__ import annotations

from dataclasses import replace
from math import pi, radians
from typing import NamedTuple

from engine.design import (
    Cleanout,
    CollectorLoss,
    Corner,
    Design,
    Elbow,
    Gate,
    Hose,
    Machine,
    OwnLoss,
    Port,
    Site,
    Stock,
    StockSize,
    Throttle,
    Zone,
)  # fmt: skip
from tests.shops.small_shops import FALLING, collector, machine, q, run, shop, si

DEGREES = pi / 180


class Case(NamedTuple):
    """A finding's code, words of its remedy, and a design before and after somebody did what they say."""

    code: str
    words: str
    before: Design
    after: Design


def drop(*pieces, bore=160, port=None, needs=0.2, loss=2.5, main=160, own=None, machines=None, sets=(), **joining) -> Design:
    """A main and a drop with a machine."""
    made = machines or [machine("saw", port or bore, needs, loss)]
    ends = made[0].id + "/hood"
    runs = run("main", "collector", main, 4.0), run("drop", "main", bore, *pieces, ends=ends, **joining)
    return shop(*runs, machines=made, sets=sets, **({"collector": own} if own else {}))


def turned(make, radius, *, two=False) -> Design:
    """A drop with an elbow of 90 deg, or two of half of it."""
    elbow = Elbow(make=make, radius=radius, angle=si(90 * DEGREES))
    half = replace(elbow, angle=si(45 * DEGREES))
    return drop(1.0, *((half, 0.5, half) if two else (elbow,)), 1.0)


def pair(*, bores=(125, 125), losses=(4.0, 4.0), needs=(0.15, 0.15), main=160, sets=(("a",), ("b",)), gates=(True, True), **rest) -> Design:
    """Two drops, each behind a gate unless it is said otherwise."""
    runs = [run("main", "collector", main, 4.0)]
    for name, way, bore, gate in zip("ab", (None, "branch"), bores, gates, strict=True):
        pieces = (Gate(name=f"{name} gate"), 2.0) if gate else (2.0,)
        runs.append(run(f"{name} drop", "main", bore, *pieces, as_=way, ends=f"{name}/hood"))
    machines = [machine(name, bore, need, loss) for name, bore, need, loss in zip("ab", bores, needs, losses, strict=True)]
    return shop(*runs, machines=machines, sets=sets, **rest)


def throttled(design: Design, **opened: float) -> Design:
    """With gates part open in every set that opens them."""
    sets = tuple(
        replace(made, throttle=tuple(Throttle(gate=f"{name} gate", open=share) for name, share in opened.items() if name in made.open))
        for made in design.gate_sets
    )
    return replace(design, gate_sets=sets)


def placed(*pieces, port=None, site=Site(), faces="north", at=("4 m", "1 m", "2 m"), size=160) -> Design:  # noqa: B008
    """A single duct from a collector that has a place."""
    own = replace(collector(), east=q(at[0]), north=q(at[1]), up=q(at[2]), faces=faces)
    where = {} if port is None else dict(zip(("east", "north", "up"), map(q, port), strict=True))
    return shop(
        run("duct", "collector", size, *pieces, ends="saw/hood"),
        machines=[replace(machine("saw", size, loss=2.5), **where)],
        collector=own,
        site=site,
    )


def room(*zones: Zone, height="3 m") -> Site:
    """A room of 9 m by 9 m."""
    corners = tuple(Corner(east=q(f"{east} m"), north=q(f"{north} m")) for east, north in ((0, 0), (9, 0), (9, 9), (0, 9)))
    return Site(height=q(height), room=corners, zones=zones)


def bend(toward=None, angle=90.0) -> Elbow:
    """A smooth elbow."""
    return Elbow(angle=si(radians(angle)), toward=toward)


def curved(*points, basis="fan static", **rest) -> Design:
    """A shop of one machine whose collector has a curve of these (m3/s, Pa)."""
    return drop(3.0, own=collector(points or FALLING, basis=basis, **rest))


def estimated() -> Design:
    """A collector known by its free air alone."""
    made = drop(3.0)
    return replace(made, collector=replace(made.collector, curve=(), free_air=si(0.7222), max_suction=si(2400.0)))


def dirty(drop_pa: float) -> Design:
    """A collector with a filter that takes so much at 0.1 m3/s."""
    return drop(3.0, own=replace(collector(), losses=(CollectorLoss(name="filter", drop=si(drop_pa), at=si(1e-4), law="linear"),)))


def measured(**port) -> Design:
    """A port with what was measured at it."""
    return drop(3.0, machines=[Machine(id="saw", ports=(Port(id="hood", bore=si(0.16), needs=si(0.36), **port),))])


def capped(loss: float) -> Design:
    """One machine; the air goes outside, past a cap of this loss."""
    pieces = (OwnLoss(loss=loss, name="cap"),)
    return discharging(discharge="outside", opening=si(1.0), outlet_pieces=pieces)


def discharging(**given) -> Design:
    """One machine; the air goes outside or through a filter."""
    made = drop(3.0, own=collector(outlet=si(0.25), **{key: value for key, value in given.items() if key != "opening"}))
    return replace(made, site=Site(make_up_opening=given.get("opening")))


def gated(*main, wall=None, b_gate=True) -> Design:
    """Two gated machines behind a main of plastic pipe with this wall, m."""
    made = pair(gates=(True, b_gate), needs=(0.1, 0.1))
    outside = si(0.16 + 2 * wall) if wall else None
    stock = Stock(id="plastic", kind="pipe", material="PVC", sizes=(StockSize(nominal="160", bore=si(0.16), outside=outside),))
    first = replace(made.runs[0], size="plastic/160", pieces=(*made.runs[0].pieces, *main))
    return replace(made, runs=(first, *made.runs[1:]), stock=(stock, *made.stock))


def hosed(length: float, pipe: float = 0.0, bore=125, port=125, **joining) -> Design:
    """A drop that ends in hose."""
    return drop(2.0 + pipe, Hose(length=si(length), size=f"hose/{bore}"), bore=125, port=port, **joining)


def two_bores(pipe: int, hose: int) -> Design:
    """A single duct of pipe and hose."""
    duct = run("duct", "collector", pipe, 2.0, Hose(length=si(0.8), size=f"hose/{hose}"), ends="saw/hood")
    made = shop(duct, machines=[machine("saw", 140, 0.15, 8.0)])
    size = StockSize(nominal=f"{hose}", bore=si(hose / 1000))
    return replace(made, stock=(made.stock[0], replace(made.stock[1], sizes=(size,))))


def facing(one="east", other="west", apart=False) -> Design:
    """Two branches at one joint, or at two."""
    runs = [run("main", "collector", 160, 2.0), run("on", "main", 160, 1.0), run("a drop", "main", 100, 2.0, as_="branch", toward=one, ends="a/hood")]
    runs.append(run("b drop", "on" if apart else "main", 100, 2.0, as_="branch", toward=other, ends="b/hood"))
    last = run("end", "on", 100, 1.0, ends="c/hood")
    return shop(*runs, last, machines=[machine(name, needs=0.08) for name in "abc"])


def lidded(*main: Cleanout | float) -> Design:
    """A main that serves two ports."""
    made = pair(needs=(0.1, 0.1))
    first = run("main", "collector", 160, *main)
    return replace(made, runs=(first, *made.runs[1:]))


def dead_end(*pieces: Cleanout | float) -> Design:
    """A main whose far end is dead, and two branches there."""
    runs = [run("main", "collector", 160, *pieces)]
    runs += [run(f"{name} drop", "main", 100, 1.0, as_="branch", toward=way, ends=f"{name}/hood") for name, way in (("a", "east"), ("b", "up"))]
    return shop(*runs, machines=[machine(name, needs=0.1) for name in "ab"])


def sagging(*lid: Cleanout) -> Design:
    """A duct that leads down and up again."""
    return placed(1.0, bend("down"), 1.0, bend("north"), 1.0, *lid, bend("up"), 1.0, bend("north"), 1.0)


def branching(toward: str, *pieces: Elbow | float) -> Design:
    """A gated branch off a level main."""
    made = pair(needs=(0.1, 0.1))
    off = replace(made.runs[2], toward=toward, pieces=(*made.runs[2].pieces, *run("x", "y", None, *pieces).pieces))
    return replace(made, runs=(*made.runs[:2], off))


def crossing(up: str) -> Design:
    """A branch that comes round and meets its own main, or passes above it."""
    own = replace(collector(), east=q("0 m"), north=q("0 m"), up=q("2 m"), faces="north")
    off = run(
        "off",
        "main",
        100,
        1.0,
        bend("east"),
        1.0,
        bend(up),
        2.0,
        bend("west" if up != "west" else "north"),
        4.0,
        as_="branch",
        toward="east",
        ends="b/hood",
    )
    return shop(
        run("main", "collector", 160, 2.0), run("on", "main", 160, 4.0, ends="a/hood"), off, machines=[machine("a", 160), machine("b")], collector=own
    )


def stocked(*, in_store=True, outside=None, conducts=True) -> Design:
    """Pipe and hose as the store has them."""
    made = hosed(0.8)
    pipe, hose = made.stock
    pipe = replace(pipe, sizes=tuple(replace(size, in_store=in_store, outside=outside) for size in pipe.sizes))
    return replace(made, stock=(pipe, replace(hose, conducts=conducts)))


def far_gate(idle: float) -> Design:
    """A drop whose gate stands so far from its joint, and pipe for the rest of 3 m behind it."""
    made = pair(needs=(0.1, 0.1))
    off = run("b drop", "main", 125, *filter(None, (idle, Gate(name="b gate"), 3.0 - idle)), as_="branch", ends="b/hood")
    return replace(made, runs=(*made.runs[:2], off))


def without(design: Design, machine_id: str) -> Design:
    """Without a machine and the run that ends at it."""
    runs = tuple(replace(made, ends=None) if made.ends and made.ends.startswith(f"{machine_id}/") else made for made in design.runs)
    left = tuple(made for made in runs if made.ends or any(other.joins == made.id for other in runs))
    return replace(design, runs=left, machines=tuple(one for one in design.machines if one.id != machine_id))


LID = Cleanout(name="lid")
POST = Zone(name="post", kind="post", west=q("3.5 m"), east=q("4.5 m"), south=q("4 m"), north=q("5 m"))
BOTH_SLOW_AND_FAST = pair(bores=(100, 100), losses=(40.0, 0.1), needs=(0.05, 0.1), main=100)
