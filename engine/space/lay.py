"""How a run lies, counted from where it begins: the same lay wherever the ducts before it are moved to."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from itertools import pairwise
from math import cos, pi, sin, tan
from typing import NamedTuple

from engine.design import Elbow, Hose, Piece, Run, Stock, Straight, bore_of, joins_as
from engine.design.kept import ROWS, kept
from engine.design.meaning import Sizes, branch_angle, elbow_shape, pipe_stock
from engine.shapes.clearance import Box, box_of, box_round, shifted
from engine.shapes.vectors import WAYS, Point, across, moved, turned
from engine.values import dataclass

ORIGIN: Point = (0.0, 0.0, 0.0)
# The corner of a sharper turn lies too far out to be drawn.
_CORNERED = 0.75 * pi


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

    @property
    def climbs(self) -> bool:
        """Whether air climbs in it: whether it leads downward, going outward, for more than a hand's breadth."""
        return self.start[2] - self.end[2] > 0.1 and min(self.before[2], self.after[2]) < -0.5

    def from_point(self, start: Point) -> Stretch:
        """The same from another origin."""
        corner = None if self.corner is None else moved(start, self.corner, 1.0)
        return Stretch(self.piece, moved(start, self.start, 1.0), moved(start, self.end, 1.0), self.before, self.after, self.length, corner)


class Line(NamedTuple):
    """A straight line of a piece, its box, and how far along the run it begins, m."""

    piece: int
    start: Point
    end: Point
    box: Box
    begins: float

    def from_point(self, start: Point) -> Line:
        """The same from another origin."""
        return Line(self.piece, moved(start, self.start, 1.0), moved(start, self.end, 1.0), shifted(self.box, start), self.begins)


@dataclass(frozen=True)
class Lay:
    """The pieces of a run whose place follows from where it begins and how it leaves there, without a hose led to its port and what follows it.

    `heading` is the way it leaves, None where it has none. `lost` is the index
    of the first piece that has no place, None where all have. `lengths` are of
    every piece along its middle, m, `length` of all of them; `tail` is the
    index of the hose that is left out.
    """

    heading: Point | None
    stretches: tuple[Stretch, ...]
    lost: int | None
    lengths: tuple[float, ...]
    length: float
    tail: int | None

    @cached_property
    def end(self) -> Point:
        """Where its last stretch ends."""
        return self.stretches[-1].end if self.stretches else ORIGIN

    @cached_property
    def leaves(self) -> Point | None:
        """The direction at its end."""
        return self.stretches[-1].after if self.stretches else self.heading

    @cached_property
    def lines(self) -> tuple[Line, ...]:
        """The straight lines of its pieces."""
        return lines_of(self.stretches)

    @cached_property
    def box(self) -> Box | None:
        """The box that its lines fill; None where it has none."""
        points = [point for stretch in self.stretches if stretch.length for point in stretch.points]
        return box_round(points) if points else None

    @cached_property
    def climbs(self) -> bool:
        """Whether air climbs in it."""
        return any(stretch.climbs for stretch in self.stretches)


def lines_of(stretches: Sequence[Stretch], along: float = 0.0) -> tuple[Line, ...]:
    """The straight lines of stretches, the first of which begins so far along its run, m."""
    found = list[Line]()
    for stretch in stretches:
        if stretch.length:
            found += [Line(stretch.piece, a, b, box_of(a, b), along) for a, b in pairwise(stretch.points)]
            along += stretch.length
    return tuple(found)


@kept(ROWS)
def lay_of(run: Run, faced: Point | None, sizes: Sizes, led: bool) -> Lay:
    """The lay of a run where its parent heads as `faced`; `led` where the hose it ends with is led to its port. `sizes` are `stock_sizes`."""
    bore, stock = bore_of(run, sizes), pipe_stock(run, sizes)
    lengths = tuple([length_of(piece, bore, stock) for piece in run.pieces])
    whole, tail = sum(lengths), _tail(run.pieces) if led else None
    first = _first_heading(run, faced) if faced else None
    if first is None:
        return Lay(None, (), 0, lengths, whole, tail)
    stretches, now, heads = list[Stretch](), ORIGIN, first
    for i, (piece, length) in enumerate(zip(run.pieces[:tail], lengths, strict=False)):
        stretch = _stretch(i, piece, now, heads, length)
        if stretch is None:
            return Lay(first, tuple(stretches), i, lengths, whole, None)
        stretches.append(stretch)
        now, heads = stretch.end, stretch.after
    return Lay(first, tuple(stretches), None, lengths, whole, tail)


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
    return _turn(faced, run.toward, branch_angle(run))[1] if run.toward else None


@kept(ROWS)
def _turn(heads: Point, toward: str, angle: float) -> tuple[Point | None, Point | None]:
    """The side that a turn is to, and the way it then heads: the same objects for the same turn, so that what follows it is the same too."""
    side = across(heads, WAYS[toward])
    return side, turned(heads, side, angle) if side else None


def _stretch(index: int, piece: Piece, at: Point, heads: Point, length: float) -> Stretch | None:
    """A piece in space; None of an elbow without a way to turn to."""
    if not isinstance(piece, Elbow):
        return Stretch(index, at, moved(at, heads, length), heads, heads, length)
    angle = piece.angle.si
    side, after = _turn(heads, piece.toward, angle) if piece.toward else (None, None)
    if side is None or after is None:
        return None
    radius = length / angle
    end = moved(moved(at, heads, radius * sin(angle)), side, radius * (1 - cos(angle)))
    corner = moved(at, heads, radius * tan(angle / 2)) if 0 < angle < _CORNERED else None
    return Stretch(index, at, end, heads, after, length, corner)


def _tail(pieces: Sequence[Piece]) -> int | None:
    """Index of the hose a run ends with; parts without length may follow it."""
    last = next((i for i in reversed(range(len(pieces))) if isinstance(pieces[i], (Straight, Elbow, Hose))), None)
    return last if last is not None and isinstance(pieces[last], Hose) else None
