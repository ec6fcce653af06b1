"""Places told as a tape finds them: from the two walls of the nearest corner, and from the floor."""

from __future__ import annotations

from collections.abc import Sequence
from math import dist
from typing import NamedTuple

from engine.shapes.clearance import Spot
from engine.shapes.vectors import Point
from engine.space.walls import Wall


class Reach(NamedTuple):
    """A distance square off a wall, m, and the wall's name; or eastward and northward of a spot, where no walls are known."""

    wall: str
    distance: float


def reaches(walls: tuple[Wall, ...], point: Point, line: Sequence[Point] = ()) -> tuple[Reach, ...]:
    """How far a point is from the two walls that meet in the nearest corner with the point square off both; the western or eastern first.

    Of points of one `line` the corner is the same, nearest to their middle, where all are square off its walls: so they are
    set out off one chalk line. Where there is no such corner it is the nearest of all. Where no walls are known, how far east and north it is.
    """
    if not walls:
        return Reach("east", point[0]), Reach("north", point[1])
    spot = point[0], point[1]
    spots = [(one[0], one[1]) for one in line] or [spot]
    square, middle = _square(walls, spots), (sum(x for x, _ in spots) / len(spots), sum(y for _, y in spots) / len(spots))
    if not square:
        square, middle = _square(walls, [spot]) or range(len(walls)), spot
    i = min(square, key=lambda i: dist(walls[i].start, middle))
    two = sorted((walls[i], walls[i - 1]), key=lambda wall: not wall.name.startswith(("west", "east")))
    return tuple(Reach(wall.name, wall.off(spot)) for wall in two)


def _square(walls: tuple[Wall, ...], spots: Sequence[Spot]) -> Sequence[int]:
    """The corners, by the wall that begins there, with all spots square off both walls."""
    return [i for i in range(len(walls)) if all(walls[i].beside(spot) and walls[i - 1].beside(spot) for spot in spots)]
