"""Places told as a tape finds them: from the two walls of the nearest corner, and from the floor."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import dist, hypot
from typing import NamedTuple

from engine.shapes.clearance import Spot
from engine.shapes.vectors import Point
from engine.space.room import Room
from engine.values import dataclass

_COMPASS = {"west": (-1.0, 0.0), "south": (0.0, -1.0), "east": (1.0, 0.0), "north": (0.0, 1.0)}
_NEAR = 1e-6


class Reach(NamedTuple):
    """A distance square off a wall, m, and the wall's name; or eastward and northward of a spot, where no walls are known."""

    wall: str
    distance: float


@dataclass(frozen=True, slots=True)
class Wall:
    """A wall from corner to corner, seen from above, and its name: "west", or "west 2" where several face that way."""

    name: str
    start: Spot
    end: Spot

    def beside(self, spot: Spot) -> bool:
        """Whether a spot lies square off the wall, not off its line beyond its corners."""
        along = (self.end[0] - self.start[0], self.end[1] - self.start[1])
        share = along[0] * (spot[0] - self.start[0]) + along[1] * (spot[1] - self.start[1])
        return -_NEAR <= share <= along[0] ** 2 + along[1] ** 2 + _NEAR

    def off(self, spot: Spot) -> float:
        """How far a spot is from the wall, or from its line beyond its corners, m."""
        along = (self.end[0] - self.start[0], self.end[1] - self.start[1])
        across = along[0] * (spot[1] - self.start[1]) - along[1] * (spot[0] - self.start[0])
        return abs(across) / hypot(*along)


def walls_of(room: Room) -> tuple[Wall, ...]:
    """The walls of a room, corner after corner; none where it is not known."""
    corners = room.corners
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in room.walls)
    faces = [_faces(a, b, 1.0 if area > 0 else -1.0) for a, b in room.walls]
    many, seen, found = Counter(faces), Counter[str](), list[Wall]()
    for face, (a, b) in zip(faces, room.walls, strict=True) if corners else ():
        seen[face] += 1
        found.append(Wall(face if many[face] == 1 else f"{face} {seen[face]}", a, b))
    return tuple(found)


def _faces(a: Spot, b: Spot, turn: float) -> str:
    """The side of the room on which a wall is."""
    outward = (turn * (b[1] - a[1]), -turn * (b[0] - a[0]))
    return max(_COMPASS, key=lambda name: _COMPASS[name][0] * outward[0] + _COMPASS[name][1] * outward[1])


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
