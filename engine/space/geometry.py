"""The way of every run in space, from the collector's inlet outward.

A run starts where its parent ends. A straight is the way between the points
of fittings; an elbow takes its own arc; a branch or leg leaves at its angle.
Bodies of fittings stand in the straights (`engine/space/fitted.py`). Points are (east, north, up) in m.
Where a direction is not given, all that follows has no place, only lengths.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import acos, cos, dist, pi, sin, tan
from typing import NamedTuple

from engine.design import (
    Collector,
    Design,
    Elbow,
    Hose,
    Machine,
    Piece,
    Port,
    Run,
    Stock,
    Straight,
    bore_of,
    children_of,
    defaults,
    joins_as,
    ports_of,
    stock_sizes,
)
from engine.design.kept import ROWS, kept
from engine.design.meaning import branch_angle, elbow_shape, pipe_stock
from engine.shapes.clearance import Box, box_of, box_round
from engine.shapes.vectors import WAYS, Point, across, dot, heading, moved, turned

# The corner of a sharper turn lies too far out to be drawn.
_CORNERED = 0.75 * pi
_TOUCHING = 1e-6


class Stretch(NamedTuple):
    """One piece in space: its ends, the direction at either, its length along the middle; `corner` of an elbow where its arms meet."""

    piece: int
    start: Point
    end: Point
    before: Point
    after: Point
    length: float
    corner: Point | None = None

    @property
    def points(self) -> tuple[Point, ...]:
        """Start, corner if there is one, end."""
        return (self.start, self.end) if self.corner is None else (self.start, self.corner, self.end)


class Line(NamedTuple):
    """A straight line of a piece, its box, and how far along the run it begins, m."""

    piece: int
    start: Point
    end: Point
    box: Box
    begins: float


@dataclass(frozen=True)
class Way:
    """A run in space. `lost` is the index of the first piece that has no place, None where all have; `length` counts every piece."""

    run: str
    start: Point | None
    heading: Point | None
    stretches: tuple[Stretch, ...]
    lost: int | None
    length: float

    @property
    def end(self) -> Point | None:
        """Its outer end."""
        if self.lost is not None:
            return None
        return self.stretches[-1].end if self.stretches else self.start

    @property
    def leaves(self) -> Point | None:
        """The direction at its outer end."""
        if self.lost is not None:
            return None
        return self.stretches[-1].after if self.stretches else self.heading

    @property
    def points(self) -> tuple[Point, ...]:
        """Its line as corner points, as far as it has a place."""
        line = [self.start] if self.start else []
        for stretch in self.stretches:
            line += [point for point in stretch.points if dist(point, line[-1]) > _TOUCHING]
        return tuple(line)

    @cached_property
    def lines(self) -> tuple[Line, ...]:
        """The straight lines of its pieces, as far as they have a place."""
        found, along = list[Line](), 0.0
        for stretch in self.stretches:
            if stretch.length:
                for a, b in pairwise(stretch.points):
                    found.append(Line(stretch.piece, a, b, box_of(a, b), along))
                along += stretch.length
        return tuple(found)

    @cached_property
    def box(self) -> Box | None:
        """The box that its lines fill; None where it has none."""
        points = [point for stretch in self.stretches if stretch.length for point in stretch.points]
        return box_round(points) if points else None

    @cached_property
    def climbs(self) -> bool:
        """Whether air climbs in it: whether it leads downward, going outward, for more than a hand's breadth."""
        return any(_climbs(stretch) for stretch in self.stretches)


class Gap(NamedTuple):
    """From where rigid pipe ends to the port it leads to: `distance` (m), `turn` (radians) off the pipe's heading, and the hose there (m)."""

    distance: float
    turn: float
    hose: float


# What a run's way is laid from: the run, where it starts and how its parent heads there, its stock and bore [m], and the port it leads to.
Ground = tuple[Run, Point | None, Point | None, Stock | None, float, Point | None]


@dataclass(frozen=True)
class Space:
    """Every run's way, every port's place, the gaps at the ports reached, and the total way from the inlet to each port, m.

    Where the collector has no position its inlet is taken as the origin, and
    no port has a gap. `made_from` is what each run's way was laid from.
    """

    ways: Mapping[str, Way]
    ports: Mapping[str, Point]
    gaps: Mapping[str, Gap]
    way_to: Mapping[str, float]
    placed: bool
    made_from: Mapping[str, Ground]

    @cached_property
    def climbing(self) -> frozenset[str]:
        """Runs in which the air climbs."""
        return frozenset(run for run, way in self.ways.items() if way.climbs)


def space_of(design: Design, before: Space | None = None) -> Space:
    """Lay a consistent design's ducts out in space; the ways that are as in the space `before` are taken over from it."""
    sizes, joining, ports = stock_sizes(design), children_of(design), port_places(design)
    inlet = position_of(design.collector)
    ways: dict[str, Way] = {}
    gaps: dict[str, Gap] = {}
    way_to: dict[str, float] = {}
    made_from: dict[str, Ground] = {}
    start, faces = inlet or (0.0, 0.0, 0.0), WAYS[design.collector.faces or defaults.FACES]
    waiting: list[tuple[Run, Point | None, Point | None, float]] = [(run, start, faces, 0.0) for run in joining["collector"]]
    while waiting:
        run, at, faced, length = waiting.pop()
        target = ports.get(run.ends) if inlet and run.ends else None
        made = made_from[run.id] = (run, at, faced, pipe_stock(run, sizes), bore_of(run, sizes), target)
        if before and before.made_from.get(run.id) == made:
            way, gap = before.ways[run.id], before.gaps.get(run.ends or "")
        else:
            way, gap = _laid(*made)
        ways[run.id] = way
        length += way.length
        if run.ends:
            way_to[run.ends] = length
            if gap:
                gaps[run.ends] = gap
        waiting += [(child, way.end, way.leaves, length) for child in reversed(joining[run.id])]
    return Space(ways, ports, gaps, way_to, inlet is not None, made_from)


def port_places(design: Design) -> dict[str, Point]:
    """Where each port is, of those that have a position, or whose machine has."""
    return {name: at for name, (machine, port) in ports_of(design).items() if (at := position_of(port, machine))}


def position_of(*items: Collector | Machine | Port) -> Point | None:
    """East, north and up [m], each from the first of the items that gives it; None where one of them is not given."""
    east, north, up = (next((value for item in items if (value := getattr(item, axis))), None) for axis in ("east", "north", "up"))
    return (east.si, north.si, up.si) if east and north and up else None


def _laid(
    run: Run, at: Point | None, faced: Point | None, stock: Stock | None, bore: float, target: Point | None
) -> tuple[Way, Gap | None]:  # fmt: skip
    """A run's way from `at`, where its parent heads as `faced`, and the gap it leaves at the port at `target`."""
    lengths, whole, tail = _lengths(run, stock, bore)
    first = _first_heading(run, faced) if faced else None
    if at is None or first is None:
        return Way(run.id, at, None, (), 0, whole), None
    stretches, now, heads = list[Stretch](), at, first
    for i, (piece, length) in enumerate(zip(run.pieces, lengths, strict=True)):
        stretch = _reach(i, now, heads, length, target) if target and i == tail else _stretch(i, piece, now, heads, length)
        if stretch is None:
            return Way(run.id, at, first, tuple(stretches), i, whole), None
        stretches.append(stretch)
        now, heads = stretch.end, stretch.after
    way = Way(run.id, at, first, tuple(stretches), None, whole)
    if target is None:
        return way, None
    return way, _gap(now, heads, 0.0, target) if tail is None else _gap(stretches[tail].start, stretches[tail].before, lengths[tail], target)


@kept(ROWS)
def _lengths(run: Run, stock: Stock | None, bore: float) -> tuple[tuple[float, ...], float, int | None]:
    """The length of every piece of a run, m, and of all of them, and the index of the hose it ends with."""
    lengths = tuple(length_of(piece, bore, stock) for piece in run.pieces)
    return lengths, sum(lengths), _tail(run.pieces)


def length_of(piece: Piece, bore: float, stock: Stock | None) -> float:
    """Length of a piece along its middle, m; a mitred elbow has none."""
    match piece:
        case Straight() | Hose():
            return piece.length.si
        case Elbow():
            make, radius, _ = elbow_shape(piece, stock)
            return 0.0 if make == "mitred" else piece.angle.si * radius * bore
    return 0.0


def _first_heading(run: Run, faced: Point) -> Point | None:
    """The way a run leaves its joint."""
    if joins_as(run) == "straight":
        return faced
    side = across(faced, WAYS[run.toward]) if run.toward else None
    return turned(faced, side, branch_angle(run)) if side else None


def _stretch(index: int, piece: Piece, at: Point, heads: Point, length: float) -> Stretch | None:
    """A piece in space; None of an elbow without a way to turn to."""
    if not isinstance(piece, Elbow):
        return Stretch(index, at, moved(at, heads, length), heads, heads, length)
    side, angle = across(heads, WAYS[piece.toward]) if piece.toward else None, piece.angle.si
    if side is None:
        return None
    radius = length / angle
    end = moved(moved(at, heads, radius * sin(angle)), side, radius * (1 - cos(angle)))
    corner = moved(at, heads, radius * tan(angle / 2)) if 0 < angle < _CORNERED else None
    return Stretch(index, at, end, heads, turned(heads, side, angle), length, corner)


def _tail(pieces: Sequence[Piece]) -> int | None:
    """Index of the hose a run ends with; parts without length may follow it."""
    last = next((i for i in reversed(range(len(pieces))) if isinstance(pieces[i], (Straight, Elbow, Hose))), None)
    return last if last is not None and isinstance(pieces[last], Hose) else None


def _reach(index: int, at: Point, heads: Point, length: float, target: Point) -> Stretch:
    """A hose led to its port, or as far toward it as it goes."""
    apart = dist(at, target)
    if apart < _TOUCHING:
        return Stretch(index, at, target, heads, heads, length)
    aim = heading(at, target)
    return Stretch(index, at, target if apart <= length else moved(at, aim, length), heads, aim, length)


def _gap(at: Point, heads: Point, hose: float, target: Point) -> Gap:
    apart = dist(at, target)
    turn = acos(max(-1.0, min(1.0, dot(heads, heading(at, target))))) if apart > _TOUCHING else 0.0
    return Gap(apart, turn, hose)


def _climbs(stretch: Stretch) -> bool:
    return stretch.start[2] - stretch.end[2] > 0.1 and min(stretch.before[2], stretch.after[2]) < -0.5
