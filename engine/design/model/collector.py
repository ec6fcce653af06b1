"""Fan, separator and filter, and the ones to choose from."""

from __future__ import annotations

from engine.design import defaults
from engine.design.entries import POSITIVE, choice, like, number, quantity, reference, rows, table, text
from engine.design.model.pieces import Piece
from engine.design.model.site import Body
from engine.shapes.vectors import DIRECTIONS
from engine.units import Quantity
from engine.values import dataclass

FILTER_STATES = ("clean", "used", "dirty")


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
    at: Quantity = quantity("at", "flow", "flow at which it takes that", required=True, high=30.0, **POSITIVE)
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
    free_air: Quantity | None = quantity("free_air", "flow", "free-air flow, where no curve is known: an estimate", high=30.0, **POSITIVE)
    max_suction: Quantity | None = quantity("max_suction", "pressure", "largest suction, wanted with a free-air flow", high=30000.0, **POSITIVE)
    swirl: float | None = number("swirl", "share of the curve lost to an elbow or swirl at the inlet, 0 to 0.3", low=0.0, high=0.3, absent="0")
    discharge: str | None = choice("discharge", ("room", "outside"), "where the cleaned air goes", absent=defaults.DISCHARGE)
    outlet_material: str | None = reference("outlet_material", "pipe material", "of the duct that leads outside", absent=defaults.PIPE_MATERIAL)
    outlet_pieces: tuple[Piece, ...] = rows("outlet_pieces", Piece, "the duct that leads outside, in the bore of outlet", inline=True)
    filter: str | None = choice("filter", FILTER_STATES, "state of the filter", absent=defaults.FILTER)
    filter_area: Quantity | None = quantity("filter_area", "area", "cloth or cartridge area", high=10000.0, **POSITIVE)
    size: Body = table("size", Body, "its body, the inlet in the middle of the side it faces", inline=True)
    losses: tuple[CollectorLoss, ...] = rows("loss", CollectorLoss, "losses the curve does not include")


@dataclass(frozen=True, slots=True, kw_only=True)
class CollectorChoice:
    """A collector that could be bought instead, as far as its sheet tells; what it leaves out is as the present one has it."""

    id: str = text("id", "what it is called", required=True)
    inlet: Quantity | None = like(Collector, "inlet", required=False)
    basis: str | None = like(Collector, "basis", absent=None)
    test_duct: Quantity | None = like(Collector, "test_duct")
    density: Quantity | None = like(Collector, "density")
    curve: tuple[CurvePoint, ...] = like(Collector, "curve")
    free_air: Quantity | None = like(Collector, "free_air")
    max_suction: Quantity | None = like(Collector, "max_suction")
    filter_area: Quantity | None = like(Collector, "filter_area")
    price: float | None = number("price", "what it costs", low=0.0, high=1e7)
    losses: tuple[CollectorLoss, ...] = like(Collector, "losses")
