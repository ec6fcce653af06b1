"""What a new thing of each kind starts as, in the design's display units.

The starting values are ordinary ones for a small shop (common practice, no
source); they are there to be changed.
"""

from __future__ import annotations

from math import ceil, floor, inf
from typing import Any

from engine.design import (
    Cleanout,
    CollectorLoss,
    Corner,
    CurvePoint,
    Design,
    Elbow,
    Gate,
    GateSet,
    Hose,
    Machine,
    OwnLoss,
    Piece,
    Port,
    Run,
    Stock,
    StockSize,
    Straight,
    Throttle,
    Zone,
    bore_of,
    defaults,
    stock_sizes,
    system,
)  # fmt: skip
from engine.design.entries import entries
from engine.design.meaning import gates_to
from engine.design.names import fresh_name, label, names_taken
from engine.design.places import RUNS, Row, at
from engine.edits import new_records
from engine.edits.refusal import EditError
from engine.space.geometry import port_places, space_of
from engine.units import Quantity, make, number_text, parse

# Material of a first run where no pipe is stocked.
# A hose is offered of a stocked size when its bore is within this share of the run's.
_FITS = 0.1


def new_piece(kind: str, design: Design, run: Run) -> Piece:
    """A piece of `kind`, a key of `design.PIECE_KEYS`, for a run."""
    match kind:
        case "straight":
            return Straight(length=_ordinary(design, "length", "1 m", "3 ft"))
        case "elbow":
            return Elbow(angle=parse("90 deg", "angle"))
        case "hose":
            return Hose(length=_ordinary(design, "length", "0.5 m", "2 ft"), size=_fitting_hose(design, run))
        case "gate":
            return Gate(name=fresh_name(f"{run.id} gate", names_taken(design, RUNS, Gate)))
        case "cleanout":
            return Cleanout(name="lid")
        case "loss":
            return OwnLoss(loss=0.5)
    raise ValueError(f"no such kind of piece: {kind}")


def new_item(design: Design, place: Row) -> Any:
    """What to insert at `place`, a row of any list but pieces; EditError where none fits."""
    return _MAKERS[place.rows.field](design, place)


def _machine(design: Design, place: Row) -> Machine:
    return Machine(id=_name(design, place, Machine, "machine"), ports=(_hood(design, "hood"),))


def _port(design: Design, place: Row) -> Port:
    return _hood(design, _name(design, place, Port, "hood"))


def _hood(design: Design, name: str) -> Port:
    bore = _ordinary(design, "bore", "100 mm", "4 in")
    return Port(id=name, bore=bore, needs=_ordinary(design, "flow", "600 m3/h", "350 cfm"))


def _stock(design: Design, place: Row) -> Stock:
    bore = _ordinary(design, "bore", "100 mm", "4 in")
    size = StockSize(nominal=number_text(bore.si, "bore", system(design)), bore=bore)
    return Stock(id=_name(design, place, Stock, "pipe"), kind="pipe", material=defaults.PIPE_MATERIAL, sizes=(size,))


def _size(design: Design, place: Row) -> StockSize:
    """The size one step above the largest there is."""
    step = _ordinary(design, "bore", "25 mm", "1 in").si
    largest = max((size.bore.si for size in at(design, place.rows)), default=3 * step)
    bore = _exact(design, min(largest + step, 2.0), "bore")
    return StockSize(nominal=_name(design, place, StockSize, number_text(bore.si, "bore", system(design))), bore=bore)


def _curve_point(design: Design, place: Row) -> CurvePoint:
    """Half way between its neighbours, or a step beyond the last point at half its pressure."""
    points, index = at(design, place.rows), place.index
    if not points:
        return CurvePoint(flow=_ordinary(design, "flow", "0 m3/h", "0 cfm"), pressure=_ordinary(design, "pressure", "2000 Pa", "8 inH2O"))
    low, high = points[max(index - 1, 0)], points[min(index, len(points) - 1)]
    if index == 0:
        flow, pressure = high.flow.si / 2, high.pressure.si
    elif index == len(points):
        step = low.flow.si - points[-2].flow.si if len(points) > 1 else 0.25
        flow, pressure = low.flow.si + step, low.pressure.si / 2
    else:
        flow, pressure = (low.flow.si + high.flow.si) / 2, (low.pressure.si + high.pressure.si) / 2
    point = CurvePoint(flow=_exact(design, flow, "flow"), pressure=_exact(design, pressure, "pressure"))
    least, most = (low.flow.si if index else -1.0), (high.flow.si if index < len(points) else inf)
    if not least < point.flow.si < most or point.flow.si > entries(CurvePoint)["flow"].high:
        raise EditError(f"there is no room for another point beside {label(design, place.rows.row(min(index, len(points) - 1)))}")
    return point


def _collector_loss(design: Design, place: Row) -> CollectorLoss:
    return CollectorLoss(
        name=_name(design, place, CollectorLoss, "loaded filter"), law="linear",
        drop=_ordinary(design, "pressure", "250 Pa", "1 inH2O"), at=_ordinary(design, "flow", "1500 m3/h", "900 cfm"),
    )  # fmt: skip


def room_around(design: Design) -> tuple[Corner, ...]:
    """Four walls around the ducts and machines there are, in whole steps of half a metre or two feet."""
    step = _ordinary(design, "length", "0.5 m", "2 ft").si
    ways = space_of(design).ways.values()
    spots = [*port_places(design).values(), *(point for way in ways for point in way.points)] or [(0.0, 0.0, 0.0), (6.0, 4.0, 0.0)]
    west, south = (step * (floor(min(axis) / step) - 1) for axis in list(zip(*spots, strict=True))[:2])
    east, north = (step * (ceil(max(axis) / step) + 1) for axis in list(zip(*spots, strict=True))[:2])
    return tuple(_corner_at(design, *spot) for spot in ((west, south), (east, south), (east, north), (west, north)))


def _corner(design: Design, place: Row) -> Corner:
    """Half way along the wall it comes into."""
    corners, index = design.site.room, place.index
    if not corners:
        raise EditError("walls start with their corners around the machines")
    before, after = corners[index - 1], corners[index % len(corners)]
    return _corner_at(design, (before.east.si + after.east.si) / 2, (before.north.si + after.north.si) / 2)


def _corner_at(design: Design, east: float, north: float) -> Corner:
    return Corner(east=_exact(design, east, "length"), north=_exact(design, north, "length"))


def _zone(design: Design, place: Row) -> Zone:
    """A post in the middle of the room, or where the axes begin."""
    corners = design.site.room
    east, north = (sum(getattr(corner, axis).si for corner in corners) / max(len(corners), 1) for axis in ("east", "north"))
    half = _ordinary(design, "length", "0.1 m", "4 in").si
    sides = {"west": east - half, "east": east + half, "south": north - half, "north": north + half}
    box = {side: _exact(design, value, "length") for side, value in sides.items()}
    return Zone(name=_name(design, place, Zone, "post"), kind="post", **box)


def _gate_set(design: Design, place: Row) -> GateSet:
    """A machine that is in no set yet, else one that has no set of its own, else all of them."""
    at_work = {name for gate_set in design.gate_sets for name in gate_set.open}
    alone = {gate_set.open for gate_set in design.gate_sets}
    for machine in sorted(design.machines, key=lambda machine: machine.id in at_work):
        if (machine.id,) not in alone:
            return GateSet(name=_name(design, place, GateSet, f"{machine.id} alone"), open=(machine.id,))
    return GateSet(name=_name(design, place, GateSet, "all at once"), open=tuple(machine.id for machine in design.machines))


def _first_run(design: Design, _: Row) -> Run:
    """The run at the collector, in the stocked pipe nearest its inlet."""
    if design.runs:
        raise EditError("the collector has its run: add a branch to a run instead")
    inlet = design.collector.inlet
    pipes = {name: size.bore.si for name, (stock, size) in stock_sizes(design).items() if stock.kind == "pipe"}
    if not pipes:
        return Run(id="main", joins="collector", bore=inlet, material=defaults.PIPE_MATERIAL)
    return Run(id="main", joins="collector", size=min(pipes, key=lambda name: abs(pipes[name] - inlet.si)))


def _throttle(design: Design, place: Row) -> Throttle:
    """The first gate on the way of the set's machines that is not throttled yet, half open."""
    gate_set = at(design, place.rows.of)
    ways = (way for port, way in gates_to(design).items() if port.split("/")[0] in gate_set.open)
    taken = {throttle.gate for throttle in gate_set.throttle}
    free = [name for way in ways for name in way if name not in taken]
    if not free:
        raise EditError("no gate on the way of these machines is left to throttle")
    return Throttle(gate=free[0], open=0.5)


_MAKERS = {
    "machines": _machine, "ports": _port, "stock": _stock, "sizes": _size, "curve": _curve_point, "losses": _collector_loss,
    "gate_sets": _gate_set, "runs": _first_run, "throttle": _throttle, "room": _corner, "zones": _zone,
    "fitting_lengths": new_records.fitting_length, "collector_choices": new_records.choice, "accepted": new_records.accepted,
    "limits": new_records.own_limit, "test_points": new_records.test_point, "readings": new_records.reading, "log": new_records.log_entry,
    "left_over": new_records.left_over,
}  # fmt: skip


def _ordinary(design: Design, dimension: str, metric: str, imperial: str) -> Quantity:
    return parse(metric if system(design) == "metric" else imperial, dimension)


def _exact(design: Design, si: float, dimension: str) -> Quantity:
    """A computed quantity, worth exactly what its text says."""
    return make(si, dimension, system(design))


def _name(design: Design, place: Row, cls: type, wanted: str) -> str:
    return fresh_name(wanted, names_taken(design, place.rows, cls))


def _fitting_hose(design: Design, run: Run) -> str | None:
    """The stocked hose nearest the run's bore, where one about fits."""
    stocked = stock_sizes(design)
    bore = bore_of(run, stocked)
    off = {name: abs(size.bore.si - bore) for name, (stock, size) in stocked.items() if stock.kind == "hose"}
    best = min(off, key=lambda name: off[name], default=None)
    return best if best is not None and off[best] <= _FITS * bore else None
