"""The walls of a room by their names: "west", or "west 2" where several face that way, corner after corner."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import hypot

from engine.shapes.clearance import Spot, sides
from engine.values import dataclass

_COMPASS = {"west": (-1.0, 0.0), "south": (0.0, -1.0), "east": (1.0, 0.0), "north": (0.0, 1.0)}
_NEAR = 1e-6


@dataclass(frozen=True, slots=True)
class Wall:
    """A wall from corner to corner, seen from above; `inward` (a unit vector) is the way from it into the room."""

    name: str
    start: Spot
    end: Spot
    inward: Spot

    @property
    def side(self) -> str:
        """The side of the room on which it stands."""
        return self.name.partition(" ")[0]

    @property
    def length(self) -> float:
        """From corner to corner, m."""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

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


def walls_of(corners: Sequence[Spot]) -> tuple[Wall, ...]:
    """The walls of a room between its corners, one after the other; none where it is not known."""
    if not corners:
        return ()
    walls = sides(corners)
    turn = 1.0 if sum(a[0] * b[1] - b[0] * a[1] for a, b in walls) > 0 else -1.0
    inward = [_inward(a, b, turn) for a, b in walls]
    faces = [max(_COMPASS, key=lambda name: -_COMPASS[name][0] * way[0] - _COMPASS[name][1] * way[1]) for way in inward]
    many, seen, found = Counter(faces), Counter[str](), list[Wall]()
    for face, way, (a, b) in zip(faces, inward, walls, strict=True):
        seen[face] += 1
        found.append(Wall(face if many[face] == 1 else f"{face} {seen[face]}", a, b, way))
    return tuple(found)


def _inward(a: Spot, b: Spot, turn: float) -> Spot:
    length = hypot(b[0] - a[0], b[1] - a[1]) or 1.0
    return -turn * (b[1] - a[1]) / length, turn * (b[0] - a[0]) / length
