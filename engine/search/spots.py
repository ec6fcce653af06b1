"""Spots of the floor where a collector may stand: off walls, zones and machines, or in the places that are said. Lengths in m."""

from __future__ import annotations

from math import dist

from engine.design import Design, Zone
from engine.design.model import COLLECTOR_PLACE
from engine.search.floor import marks
from engine.search.layouts.task import Task
from engine.shapes.clearance import Box
from engine.space.on_floor import body_of
from engine.values import dataclass

MOST_SPOTS = 2500
# How far the middle of an inlet stays off walls and zones, and off a machine's ports, m: judgement.
_OFF_WALL, _OFF_MACHINE = 0.4, 0.7
# How far round the machines the floor is taken to go where no walls are known, m: judgement.
_MARGIN = 1.0
# A spot so near to a place is in it, m.
_ON_THE_LINE = 1e-6


@dataclass(frozen=True, slots=True)
class Floor:
    """What is to be laid there, the places where the collector may stand, none where nobody says, machines' bodies, and how wide it is itself."""

    task: Task
    stands: tuple[Box, ...]
    bodies: tuple[Box, ...]
    body: float


def floor_of(design: Design, task: Task) -> Floor:
    """The floor of a shop."""
    size, stands = design.collector.size, tuple(_level(zone) for zone in design.site.zones if zone.kind == COLLECTOR_PLACE)
    body = min(size.east.si, size.north.si) if size.east and size.north else 0.0
    return Floor(task, stands, tuple(filter(None, map(body_of, design.machines))), body)


def marks_of(floor: Floor, axis: int, spacing: float) -> tuple[float, ...]:
    """Marks over the floor; where it is said where the collector may stand, over each of those places and in its middle."""
    if not floor.stands:
        return marks(*_floor_span(floor.task, axis), spacing, MOST_SPOTS)
    spans = [(box.low[axis], box.high[axis]) for box in floor.stands]
    return tuple(
        sorted({round(mark, 6) for low, high in spans for mark in (*marks(low, high, spacing, MOST_SPOTS), (low + high) / 2) if low <= mark <= high})
    )


def is_free(floor: Floor, at: tuple[float, float]) -> bool:
    """Whether a collector may stand there: within the walls, in no doorway, way or other zone that begins below its inlet, clear of machines.

    Off the walls, unless it is said where it may stand: then there alone.
    """
    task = floor.task
    in_place = any(_is_near(at, box, _ON_THE_LINE) for box in floor.stands)
    if (floor.stands and not in_place) or not task.room.holds(at, 0.0 if in_place else _OFF_WALL):
        return False
    if any(_is_near(at, box, _OFF_WALL) for _, box in task.room.obstacles if box.low[2] < task.inlet[2]):
        return False
    own = floor.body / 2
    return all(dist(at, stop.at[:2]) >= _OFF_MACHINE for stop in task.stops) and not any(_is_near(at, box, own) for box in floor.bodies)


def _floor_span(task: Task, axis: int) -> tuple[float, float]:
    known = [corner[axis] for corner in task.room.corners]
    if known:
        return min(known) + _OFF_WALL, max(known) - _OFF_WALL
    low, high = task.spans[axis]
    return low - _MARGIN, high + _MARGIN


def _is_near(at: tuple[float, float], box: Box, by: float) -> bool:
    """Whether a spot of the floor lies in a box, or nearer to it than so many metres along an axis."""
    return all(low - by < value < high + by for value, low, high in zip(at, box.low, box.high, strict=False))


def _level(zone: Zone) -> Box:
    return Box((zone.west.si, zone.south.si, 0.0), (zone.east.si, zone.north.si, 0.0))
