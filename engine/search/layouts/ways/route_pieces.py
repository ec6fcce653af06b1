"""Corner points in space made into pieces: the pipe between elbows, and the elbows.

Points are (east, north, up) in m; they go outward from the collector.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import acos, ceil, degrees, dist, pi, tan

from engine.design import Elbow, Straight
from engine.search.quantities import round_length, whole_degrees
from engine.shapes.vectors import WAYS, Point, dot, heading, moved

_LONGEST_STRAIGHT = 500.0
_NO_LENGTH = 1e-6


def pieces(points: Sequence[Point], bend: float, units: str) -> tuple[Straight | Elbow, ...]:
    """Straights and elbows of centre-line radius `bend` (m, 0 for mitred ones) along corner points, lengths in "metric" or "imperial" `units`.

    Straights are the pipe between elbows: what an elbow takes of either side
    is left out. Where that leaves nothing, fittings meet.
    """
    points = corners(points)
    ways = [heading(*ends) for ends in pairwise(points)]
    turns = [0.0, *(acos(max(-1.0, min(1.0, dot(a, b)))) for a, b in pairwise(ways)), 0.0]
    taken = [bend * tan(min(turn, pi / 2) / 2) for turn in turns]
    found: list[Straight | Elbow] = []
    for i, onward in enumerate(ways):
        if i:
            found.append(Elbow(angle=whole_degrees(round(degrees(turns[i]))), toward=toward(ways[i - 1], onward)))
        found.extend(straights(dist(points[i], points[i + 1]) - taken[i] - taken[i + 1], units))
    return tuple(found)


def straights(metres: float, units: str) -> Iterator[Straight]:
    """A straight of about this length; more than one where it is longer than one may be, none where it is nothing."""
    parts = max(ceil(metres / _LONGEST_STRAIGHT), 1)
    length = round_length(metres / parts, units)
    yield from (Straight(length=length) for _ in range(parts if length.si > 0 else 0))


def toward(before: Point, after: Point) -> str:
    """The direction a turn leads to, as a design names it: across the way there was, where the new one lies between two.

    Both are unit vectors, `before` nothing where only the new way counts.
    """
    sideways = moved(after, before, -dot(before, after))
    aim = after if max(map(abs, after)) > 0.99 else sideways
    return max(WAYS, key=lambda name: dot(WAYS[name], aim))


def corners(points: Sequence[Point]) -> tuple[Point, ...]:
    """The points without those where nothing turns."""
    kept: list[Point] = []
    for point in points:
        if kept and dist(kept[-1], point) < _NO_LENGTH:
            continue
        if len(kept) > 1 and dot(heading(kept[-2], kept[-1]), heading(kept[-1], point)) > 1 - _NO_LENGTH:
            kept.pop()
        kept.append(point)
    return tuple(kept)
