"""The way of every run in space, from the collector's inlet outward.

A run starts where its parent ends. A straight is the way between the points
of fittings; an elbow takes its own arc; a branch or leg leaves at its angle.
Bodies of fittings stand in the straights (`engine/space/fitted.py`). Points are (east, north, up) in m.
Where a direction is not given, all that follows has no place, only lengths.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property
from math import acos, dist, pi
from typing import NamedTuple

from engine.design import Collector, Design, Machine, Port, Run, children_of, defaults, ports_of, stock_sizes
from engine.design.kept import ROWS, WHOLES, kept
from engine.design.meaning import Sizes
from engine.shapes.clearance import Box, around, box_of, overlap, shifted
from engine.shapes.vectors import WAYS, Point, dot, heading, moved
from engine.space.lay import ORIGIN, Lay, Line, Stretch, lay_of, lines_of
from engine.values import dataclass

_TOUCHING = 1e-6


class Way(NamedTuple):
    """A run in space: where it starts and ends, how it lies from its start, and the hose that is led to its port, with what follows it."""

    run: str
    start: Point | None
    end: Point | None
    lay: Lay
    led: tuple[Stretch, ...]

    @property
    def heading(self) -> Point | None:
        """The way it leaves its joint, None where it has none."""
        return self.lay.heading

    @property
    def lost(self) -> int | None:
        """Index of the first piece that has no place, None where all have."""
        return self.lay.lost

    @property
    def length(self) -> float:
        """Length of all its pieces, m."""
        return self.lay.length

    @property
    def leaves(self) -> Point | None:
        """The direction at its outer end."""
        if self.lost is not None:
            return None
        return self.led[-1].after if self.led else self.lay.leaves

    @property
    def turns(self) -> tuple[Stretch, ...]:
        """Its stretches, of which nothing but how they lead holds: those of its lay are counted from its start."""
        return self.lay.stretches + self.led

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """Its pieces in space, as far as they have a place."""
        return _stretches(self.start, self.lay, self.led)

    @property
    def points(self) -> tuple[Point, ...]:
        """Its line as corner points, as far as it has a place."""
        line = [self.start] if self.start else []
        for stretch in self.stretches:
            line += [point for point in stretch.points if dist(point, line[-1]) > _TOUCHING]
        return tuple(line)

    @property
    def lines(self) -> tuple[Line, ...]:
        """The straight lines of its pieces, as far as they have a place."""
        return (*[line.from_point(self.start) for line in self.lay.lines], *self._led_lines) if self.start else ()

    def lines_near(self, box: Box) -> Iterator[Line]:
        """Those whose boxes have a point in common with a box; of its lay only they are moved to where it hangs."""
        if self.start:
            there = shifted(box, moved(ORIGIN, self.start, -1.0))
            yield from (line.from_point(self.start) for line in self.lay.lines if overlap(line.box, there))
            yield from (line for line in self._led_lines if overlap(line.box, box))

    @property
    def _led_lines(self) -> tuple[Line, ...]:
        return lines_of(self.led, sum(self.lay.lengths[: len(self.lay.stretches)]))

    @property
    def box(self) -> Box | None:
        """The box that its lines fill; None where it has none."""
        box = shifted(self.lay.box, self.start) if self.lay.box and self.start else None
        for stretch in self.led:
            if stretch.length:
                line = box_of(stretch.start, stretch.end)
                box = around(box, line) if box else line
        return box

    @property
    def climbs(self) -> bool:
        """Whether air climbs in it."""
        return self.lay.climbs or any(stretch.climbs for stretch in self.led)

    def begins(self, piece: int) -> Point | None:
        """Where a piece begins; None where it has no place."""
        if self.start is None or piece >= len(self.lay.stretches) + len(self.led):
            return None
        return moved(self.start, self.lay.stretches[piece].start, 1.0) if piece < len(self.lay.stretches) else self.turns[piece].start


@kept(ROWS)
def _stretches(start: Point | None, lay: Lay, led: tuple[Stretch, ...]) -> tuple[Stretch, ...]:
    return (*[stretch.from_point(start) for stretch in lay.stretches], *led) if start else ()


class Gap(NamedTuple):
    """From where rigid pipe ends to the port it leads to: `distance` (m), `turn` (radians) off the pipe's heading, and the hose there (m).

    `arrival` (radians) is the turn from there into the port, 0 where it is not known which way that faces.
    """

    distance: float
    turn: float
    hose: float
    arrival: float = 0.0

    @property
    def bends(self) -> float:
        """All that a hose turns from the pipe into the port, radians, half a circle at most."""
        return min(self.turn + self.arrival, pi)


@dataclass(frozen=True)
class Space:
    """Every run's way, every port's place, the gaps at the ports reached, and the total way from the inlet to each port, m.

    Where the collector has no position its inlet is taken as the origin, and
    no port has a gap.
    """

    ways: Mapping[str, Way]
    ports: Mapping[str, Point]
    gaps: Mapping[str, Gap]
    way_to: Mapping[str, float]
    placed: bool

    @cached_property
    def climbing(self) -> frozenset[str]:
        """Runs in which the air climbs."""
        return frozenset(run for run, way in self.ways.items() if way.climbs)


def space_of(design: Design) -> Space:
    """Lay a consistent design's ducts out in space."""
    sizes, joining, ports = stock_sizes(design), children_of(design), port_places(design)
    inlet = position_of(design.collector)
    opens = {name: WAYS[port.faces] for name, (_, port) in ports_of(design).items() if port.faces}
    ways: dict[str, Way] = {}
    gaps: dict[str, Gap] = {}
    way_to: dict[str, float] = {}
    start, faces = inlet or ORIGIN, WAYS[design.collector.faces or defaults.FACES]
    waiting: list[tuple[Run, Point | None, Point | None, float]] = [(run, start, faces, 0.0) for run in joining["collector"]]
    while waiting:
        run, at, faced, length = waiting.pop()
        target = ports.get(run.ends) if inlet and run.ends else None
        way, gap = _way(run, at, faced, sizes, target, opens.get(run.ends or ""))
        ways[run.id] = way
        length += way.length
        if run.ends:
            way_to[run.ends] = length
            if gap:
                gaps[run.ends] = gap
        if joined := joining[run.id]:
            at, faced = way.end, way.leaves
            waiting += [(child, at, faced, length) for child in reversed(joined)]
    return Space(ways, ports, gaps, way_to, inlet is not None)


def port_places(design: Design) -> Mapping[str, Point]:
    """Where each port is, of those that have a position, or whose machine has."""
    return _port_places(ports_of(design))


@kept(WHOLES)
def _port_places(ports: Mapping[str, tuple[Machine, Port]]) -> Mapping[str, Point]:
    return {name: at for name, (machine, port) in ports.items() if (at := position_of(port, machine))}


@kept(ROWS)
def position_of(*items: Collector | Machine | Port) -> Point | None:
    """East, north and up [m], each from the first of the items that gives it; None where one of them is not given."""
    east, north, up = (next((value for item in items if (value := getattr(item, axis))), None) for axis in ("east", "north", "up"))
    return (east.si, north.si, up.si) if east and north and up else None


@kept(ROWS)
def _way(
    run: Run, start: Point | None, faced: Point | None, sizes: Sizes, target: Point | None, opens: Point | None
) -> tuple[Way, Gap | None]:  # fmt: skip
    """The way of a run from its start, `faced` as its parent heads, its hose led to the port at `target`, which `opens` a way, and the gap there."""
    lay = lay_of(run, faced, sizes, target is not None)
    if start is None or lay.leaves is None or lay.lost is not None:
        return Way(run.id, start, None, lay, ()), None
    at, heads = moved(start, lay.end, 1.0), lay.leaves
    if target is None:
        return Way(run.id, start, at, lay, ()), None
    apart = dist(at, target)
    aim = heading(at, target) if apart > _TOUCHING else heads
    hose = 0.0 if lay.tail is None else lay.lengths[lay.tail]
    gap = Gap(apart, _between(heads, aim), hose, pi - _between(aim, opens) if opens else 0.0)
    if lay.tail is None:
        return Way(run.id, start, at, lay, ()), gap
    # A hose goes to its port, or as far toward it as it is long; what follows it has no length.
    end = target if apart <= hose else moved(at, aim, hose)
    behind = [Stretch(piece, end, end, aim, aim, 0.0) for piece in range(lay.tail + 1, len(lay.lengths))]
    return Way(run.id, start, end, lay, (Stretch(lay.tail, at, end, heads, aim, hose), *behind)), gap


def _between(a: Point, b: Point) -> float:
    """The angle between two ways, radians."""
    return acos(max(-1.0, min(1.0, dot(a, b))))
