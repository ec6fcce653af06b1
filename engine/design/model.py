"""A design: frozen dataclasses that hold what the design file says, in its own words.

Quantities keep the text they were typed as beside their SI value. A field
that is absent from the file is None here; what then holds is said once, by
`engine.design.defaults`, `engine.design.meaning` and `engine.catalog`.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from engine.design import defaults
from engine.design.entries import choice, count, flag, names, number, quantity, reference, rows, table, text
from engine.shapes.vectors import DIRECTIONS
from engine.units import Quantity

ZONE_KINDS = ("post", "door", "keep clear")
FILTER_STATES = ("clean", "used", "dirty")
BLUNT = pi
_TAPER = {"low": 0.0, "high": pi, "open_low": True, "words": (("blunt", BLUNT),)}
_POSITIVE = {"low": 0.0, "open_low": True}


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """A corner of the room's walls, seen from above."""

    east: Quantity = quantity("east", "length", "of the corner, eastward", required=True, low=-1000.0, high=1000.0)
    north: Quantity = quantity("north", "length", "of the corner, northward", required=True, low=-1000.0, high=1000.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A box in the room that ducts have to do with: a post, a door, a place to keep clear."""

    name: str = text("name", "what it is", required=True)
    kind: str | None = choice("kind", ZONE_KINDS, "a post, a door, or a place no duct may cross", absent=defaults.ZONE_KIND)
    west: Quantity = quantity("west", "length", "its western side, eastward", required=True, low=-1000.0, high=1000.0)
    east: Quantity = quantity("east", "length", "its eastern side, eastward", required=True, low=-1000.0, high=1000.0)
    south: Quantity = quantity("south", "length", "its southern side, northward", required=True, low=-1000.0, high=1000.0)
    north: Quantity = quantity("north", "length", "its northern side, northward", required=True, low=-1000.0, high=1000.0)
    bottom: Quantity | None = quantity("bottom", "length", "its lower side above the floor", low=-50.0, high=100.0, absent="the floor")
    top: Quantity | None = quantity("top", "length", "its upper side above the floor", low=-50.0, high=100.0, absent="the ceiling")


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """The shop: its air, its room."""

    altitude: Quantity | None = quantity("altitude", "length", "height above sea level", low=-430.0, high=5000.0, absent=defaults.ALTITUDE)
    temperature: Quantity | None = quantity(
        "temperature", "temperature", "of the air in the shop", low=233.15, high=333.15, absent=defaults.TEMPERATURE
    )
    humidity: float | None = number("humidity", "relative humidity, 0 to 1", low=0.0, high=1.0, absent=defaults.HUMIDITY)
    height: Quantity | None = quantity("height", "length", "of the ceiling above the floor", high=100.0, **_POSITIVE)
    make_up_opening: Quantity | None = quantity(
        "make_up_opening", "area", "free opening through which air blown outside comes in again", high=100.0, **_POSITIVE
    )
    room: tuple[Corner, ...] = rows("room", Corner, "the walls, corner after corner", inline=True)
    zones: tuple[Zone, ...] = rows("zone", Zone, "posts, doors, places to keep clear")


@dataclass(frozen=True, slots=True, kw_only=True)
class Conveying:
    """What the ducts carry and how fast it must go; speeds default to the catalog's for the material."""

    material: str | None = reference("material", "material", "what the ducts carry", absent=defaults.LOAD)
    slow_branch: Quantity | None = quantity("slow_branch", "speed", "slowest good speed in a branch or riser", high=100.0, **_POSITIVE)
    slow_main: Quantity | None = quantity(
        "slow_main", "speed", "slowest good speed in a horizontal run serving several ports", high=100.0, **_POSITIVE
    )
    settles: Quantity | None = quantity("settles", "speed", "below this the load settles for certain", high=100.0, **_POSITIVE)
    fast: Quantity | None = quantity("fast", "speed", "faster than this is as a rule not sensible", high=200.0, **_POSITIVE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Straight:
    """A straight length of the run's pipe."""

    length: Quantity = quantity("straight", "length", "length along the pipe", required=True, high=500.0, **_POSITIVE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Elbow:
    """A bend of the run's pipe."""

    angle: Quantity = quantity("elbow", "angle", "angle it turns by", required=True, high=pi, **_POSITIVE)
    toward: str | None = choice("toward", DIRECTIONS, "the way it turns to, going outward")
    radius: float | None = number("radius", "centre-line radius in bores", low=0.5, high=10.0, absent="the stock's")
    make: str | None = choice("make", ("smooth", "segmented", "mitred"), "how it is made", absent="the stock's")
    gores: int | None = count("gores", "pieces of a segmented elbow", low=3, high=7, absent=defaults.ELBOW_GORES)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hose:
    """A length of flexible hose."""

    length: Quantity = quantity("hose", "length", "length, stretched", required=True, high=100.0, **_POSITIVE)
    size: str | None = reference("size", "stock size", "stock size of the hose", absent="the run's bore")
    bend: Quantity | None = quantity("bend", "angle", "sum of the angles it is bent by", low=0.0, high=4 * pi, absent="0 deg")
    compressed: float | None = number("compressed", "share of its length left compressed, 0 to 0.5", low=0.0, high=0.5, absent="0")


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate:
    """A blast gate."""

    name: str = text("gate", "name of the gate", required=True)
    loss: float | None = number("loss", "loss when open, in velocity pressures", low=0.0, high=1000.0, absent=defaults.gate_loss)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cleanout:
    """A lid to clean the run through."""

    name: str = text("cleanout", "where it is", required=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnLoss:
    """A part with a loss of its own."""

    loss: float = number("loss", "loss in velocity pressures of the run", required=True, low=0.0, high=1000.0)
    name: str | None = text("name", "what it is")


Piece = Straight | Elbow | Hose | Gate | Cleanout | OwnLoss
# A piece's file table is recognised by the first of these keys that it holds.
PIECE_KEYS: dict[str, type] = {
    "straight": Straight, "elbow": Elbow, "hose": Hose, "gate": Gate, "cleanout": Cleanout, "loss": OwnLoss,
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePoint:
    """One point of a collector's curve."""

    flow: Quantity = quantity("flow", "flow", "air flow", required=True, low=0.0, high=30.0)
    pressure: Quantity = quantity("pressure", "pressure", "pressure at that flow", required=True, low=0.0, high=30000.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class CollectorLoss:
    """A loss at the collector that its curve does not include."""

    name: str = text("name", "what it is", required=True)
    drop: Quantity = quantity("drop", "pressure", "pressure it takes; a filter's when it is used", required=True, low=0.0, high=30000.0)
    clean: Quantity | None = quantity("clean", "pressure", "a filter's when it is clean", low=0.0, high=30000.0, absent="drop")
    dirty: Quantity | None = quantity("dirty", "pressure", "a filter's when it wants cleaning", low=0.0, high=30000.0, absent="drop")
    at: Quantity = quantity("at", "flow", "flow at which it takes that", required=True, high=30.0, **_POSITIVE)
    law: str | None = choice("law", ("linear", "square"), "how the drop grows with flow: linear for a filter, square for a duct", absent=defaults.LAW)


@dataclass(frozen=True, slots=True, kw_only=True)
class Collector:
    """Fan, separator and filter as bought."""

    name: str | None = text("name", "what it is called")
    east: Quantity | None = quantity("east", "length", "centre of the inlet, eastward", low=-1000.0, high=1000.0)
    north: Quantity | None = quantity("north", "length", "centre of the inlet, northward", low=-1000.0, high=1000.0)
    up: Quantity | None = quantity("up", "length", "centre of the inlet above the floor", low=-50.0, high=100.0)
    faces: str | None = choice("faces", DIRECTIONS, "the way the first run leaves the inlet", absent=defaults.FACES)
    inlet: Quantity = quantity("inlet", "bore", "inside bore of the inlet", required=True, low=0.01, high=2.0)
    basis: str | None = choice("basis", ("inlet suction", "fan static", "fan total"), "what the curve's pressures are", absent=defaults.BASIS)
    test_duct: Quantity | None = quantity("test_duct", "bore", "duct the suction was measured in", low=0.01, high=2.0, absent="the inlet")
    outlet: Quantity | None = quantity(
        "outlet", "bore", "outlet bore, wanted by basis fan total and by a duct that leads outside", low=0.01, high=2.0
    )
    density: Quantity | None = quantity("density", "density", "air density the curve holds at", low=0.3, high=2.0, absent=defaults.CURVE_DENSITY)
    curve: tuple[CurvePoint, ...] = rows("curve", CurvePoint, "the collector's curve, flows rising", inline=True)
    free_air: Quantity | None = quantity("free_air", "flow", "free-air flow, where no curve is known: an estimate", high=30.0, **_POSITIVE)
    max_suction: Quantity | None = quantity("max_suction", "pressure", "largest suction, wanted with a free-air flow", high=30000.0, **_POSITIVE)
    swirl: float | None = number("swirl", "share of the curve lost to an elbow or swirl at the inlet, 0 to 0.3", low=0.0, high=0.3, absent="0")
    discharge: str | None = choice("discharge", ("room", "outside"), "where the cleaned air goes", absent=defaults.DISCHARGE)
    outlet_material: str | None = reference("outlet_material", "pipe material", "of the duct that leads outside", absent=defaults.PIPE_MATERIAL)
    outlet_pieces: tuple[Piece, ...] = rows("outlet_pieces", Piece, "the duct that leads outside, in the bore of outlet", inline=True)
    filter: str | None = choice("filter", FILTER_STATES, "state of the filter", absent=defaults.FILTER)
    filter_area: Quantity | None = quantity("filter_area", "area", "cloth or cartridge area", high=10000.0, **_POSITIVE)
    losses: tuple[CollectorLoss, ...] = rows("loss", CollectorLoss, "losses the curve does not include")


@dataclass(frozen=True, slots=True, kw_only=True)
class StockSize:
    """One size of a stock."""

    nominal: str = text("nominal", "the size as the store names it", required=True)
    bore: Quantity = quantity("bore", "bore", "inside diameter", required=True, low=0.01, high=2.0)
    outside: Quantity | None = quantity("outside", "bore", "outside diameter, for mating", low=0.01, high=2.0)
    price: float | None = number("price", "price of a metre", low=0.0, high=1e6)
    elbow_price: float | None = number("elbow_price", "price of an elbow", low=0.0, high=1e6, absent=defaults.as_pipe("elbow"))
    wye_price: float | None = number("wye_price", "price of a wye of this bore", low=0.0, high=1e6, absent=defaults.as_pipe("wye"))
    taper_price: float | None = number("taper_price", "price of a reducer down to this bore", low=0.0, high=1e6, absent=defaults.as_pipe("taper"))
    in_store: bool | None = flag("in_store", "whether the store has it", absent=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """A family of pipe or hose the shop can buy."""

    id: str = text("id", 'short name used in size = "id/nominal"', required=True)
    kind: str = choice("kind", ("pipe", "hose"), "rigid pipe or flexible hose", required=True)
    material: str = reference("material", "pipe material", "what it is made of; sets the roughness", required=True)
    roughness: Quantity | None = quantity("roughness", "roughness", "replaces the catalog's roughness", low=0.0, high=0.02, absent="from the catalog")
    conducts: bool | None = flag("conducts", "whether it can be earthed", absent="from the catalog")
    stick: Quantity | None = quantity("stick", "length", "length it is sold in; absent: cut to length", high=100.0, **_POSITIVE)
    elbow_radius: float | None = number(
        "elbow_radius", "centre-line radius of its elbows, in bores", low=0.5, high=10.0, absent=defaults.ELBOW_RADIUS
    )
    elbow_make: str | None = choice("elbow_make", ("smooth", "segmented", "mitred"), "how its elbows are made", absent=defaults.ELBOW_MAKE)
    sizes: tuple[StockSize, ...] = rows("size", StockSize, "the sizes it comes in")


@dataclass(frozen=True, slots=True, kw_only=True)
class Port:
    """Where a machine is sucked."""

    id: str = text("id", "short name", required=True)
    bore: Quantity = quantity("bore", "bore", "inside bore of the port", required=True, low=0.005, high=2.0)
    needs: Quantity = quantity("needs", "flow", "flow it should get", required=True, low=0.0, high=30.0)
    loss: float | None = number("loss", "total-pressure loss in velocity pressures of its bore", low=0.0, high=1000.0, absent=defaults.PORT_LOSS)
    suction: Quantity | None = quantity("suction", "pressure", "static suction measured at `needs`, instead of loss", high=30000.0, **_POSITIVE)
    east: Quantity | None = quantity("east", "length", "of this port, eastward", low=-1000.0, high=1000.0, absent="the machine's")
    north: Quantity | None = quantity("north", "length", "of this port, northward", low=-1000.0, high=1000.0, absent="the machine's")
    up: Quantity | None = quantity("up", "length", "of this port, above the floor", low=-50.0, high=100.0, absent="the machine's")


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """A machine that makes chips or dust."""

    id: str = text("id", "short name", required=True)
    east: Quantity | None = quantity("east", "length", "of its first port, eastward: a record, no duct moves with it", low=-1000.0, high=1000.0)
    north: Quantity | None = quantity("north", "length", "of its first port, northward", low=-1000.0, high=1000.0)
    up: Quantity | None = quantity("up", "length", "of its first port, above the floor", low=-50.0, high=100.0)
    hours: float | None = number("hours", "hours of work a week", low=0.0, high=168.0)
    ports: tuple[Port, ...] = rows("port", Port, "where it is sucked")


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A stretch of one bore between two joints, its pieces listed from the collector outward."""

    id: str = text("id", "name of the run", required=True)
    joins: str = reference("joins", "collector or run", "what its collector end joins", required=True)
    as_: str | None = choice(
        "as", ("straight", "branch", "leg"), "how it joins: straight on, as a branch, or as one of two legs of a Y", absent=defaults.JOINS_AS
    )
    angle: Quantity | None = quantity(
        "angle", "angle", "of a branch or leg to the way of the air", low=0.0, high=pi / 2, open_low=True, absent=defaults.BRANCH_ANGLE
    )
    toward: str | None = choice("toward", DIRECTIONS, "the way a branch or leg leaves, going outward")
    taper: Quantity | None = quantity(
        "taper", "angle", "included angle of the change of bore at the joint", absent=f"{defaults.TAPER.text}; a branch or leg: none", **_TAPER
    )
    loss: float | None = number("loss", "known joint coefficient on the combined velocity pressure, instead of the formulas", low=-10.0, high=1000.0)
    size: str | None = reference("size", "stock size", "stock size of its pipe")
    bore: Quantity | None = quantity("bore", "bore", "inside bore, instead of a stock size", low=0.01, high=2.0)
    material: str | None = reference("material", "pipe material", "wanted with bore; sets the roughness")
    pieces: tuple[Piece, ...] = rows("pieces", Piece, "what it is made of, from the collector outward", inline=True)
    ends: str | None = reference("ends", "port", "machine/port at its far end")
    port_taper: Quantity | None = quantity("port_taper", "angle", "included angle of the change of bore at the port", absent=defaults.TAPER, **_TAPER)


@dataclass(frozen=True, slots=True, kw_only=True)
class Throttle:
    """A gate left part open while a gate set works."""

    gate: str = reference("gate", "gate", "name of the gate", required=True)
    open: float = number("open", "share of its way that is open, 0.05 to 1", required=True, low=0.05, high=1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Leakage:
    """How tight ducts and gates are; without it nothing leaks."""

    tightness: str | None = choice("tightness", ("A", "B", "C", "D"), "tightness class of the ducts by EN 12237, A the loosest", absent="tight")
    shut_gate: Quantity | None = quantity("shut_gate", "area", "gap that a shut gate leaves", low=0.0, high=0.01, absent="none")


@dataclass(frozen=True, slots=True, kw_only=True)
class GateSet:
    """The machines working at once."""

    name: str = text("name", "what the set is called", required=True)
    open: tuple[str, ...] = names("open", "machine", "machines at work; the gates on their way are open")
    throttle: tuple[Throttle, ...] = rows("throttle", Throttle, "gates left part open", inline=True)
    hours: float | None = number("hours", "hours a week", low=0.0, high=168.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """One workshop's ducts."""

    name: str = text("name", "name of the design", required=True)
    display: str | None = choice("display", ("metric", "imperial"), "units shown", absent=defaults.UNITS)
    notes: str | None = text("notes", "anything worth keeping")
    site: Site = table("site", Site, "the air and the room of the shop")
    conveying: Conveying = table("conveying", Conveying, "what the ducts carry")
    leakage: Leakage = table("leakage", Leakage, "how tight ducts and gates are")
    collector: Collector = table("collector", Collector, "fan, separator and filter", required=True)
    stock: tuple[Stock, ...] = rows("stock", Stock, "pipe and hose the shop can buy")
    machines: tuple[Machine, ...] = rows("machine", Machine, "the machines")
    runs: tuple[Run, ...] = rows("run", Run, "the ducts")
    gate_sets: tuple[GateSet, ...] = rows("gate_set", GateSet, "machines working at once")
