"""The room that ducts have to fit into: its walls, its ceiling and what stands or must stay clear in it.

Points are (east, north, up) in m. What a design does not say of its site
holds nothing back: no walls, no ceiling, no zones.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import dist, hypot, inf
from typing import NamedTuple

from engine.design import Site, Zone
from engine.shapes.clearance import Box, inside, share_within, sides, wider
from engine.shapes.vectors import Point

Spot = tuple[float, float]
_TOUCHING = 1e-9


class Obstacle(NamedTuple):
    """A zone: its name and its box, infinite where a side is not known."""

    name: str
    box: Box


@dataclass(frozen=True)
class Room:
    """Walls as corner after corner, empty where not known; the ceiling's height, infinite where not known; zones."""

    corners: tuple[Spot, ...]
    ceiling: float
    obstacles: tuple[Obstacle, ...]

    @cached_property
    def walls(self) -> list[tuple[Spot, Spot]]:
        """Every wall from corner to corner."""
        return sides(self.corners)

    @property
    def is_known(self) -> bool:
        """Whether anything can be in a duct's way."""
        return bool(self.corners or self.obstacles or self.ceiling < inf)

    def holds(self, spot: Spot, clear: float = 0.0) -> bool:
        """Whether a spot of the floor lies within the walls, at least `clear` m off them."""
        if not self.corners:
            return True
        return inside(spot, self.corners) and all(_apart(spot, *wall) >= clear - _TOUCHING for wall in self.walls)

    def in_zone(self, point: Point, clear: float = 0.0) -> str | None:
        """The name of the zone a point lies in, or nearer to than `clear` m, level."""
        for name, (low, high) in self.obstacles:
            level = all(low[axis] - clear < point[axis] < high[axis] + clear for axis in (0, 1))
            if level and low[2] < point[2] < high[2]:
                return name
        return None

    def barred(self, line: Sequence[Point], clear: float) -> float:
        """Metres of a line, the middle of a duct of radius `clear`, that lie behind a wall, above the ceiling or in a zone."""
        return sum(self._barred(a, b, clear) for a, b in pairwise(line))

    def _barred(self, a: Point, b: Point, clear: float) -> float:
        length = dist(a, b)
        if length < _TOUCHING:
            return 0.0
        barred = max((share_within(a, b, wider(box, clear)) for _, box in self.obstacles), default=0.0)
        if self.corners:
            barred = max(barred, self._share_outside(a, b, clear))
        if max(a[2], b[2]) > self.ceiling - clear + _TOUCHING:
            barred = max(barred, _share_above(a[2], b[2], self.ceiling - clear))
        return barred * length

    def _share_outside(self, a: Point, b: Point, clear: float) -> float:
        upright = hypot(b[0] - a[0], b[1] - a[1]) < _TOUCHING
        cuts = [0.0, *sorted(cut for wall in self.walls if (cut := crossing(a, b, *wall)) is not None), 1.0]
        outside = 0.0
        for start, end in pairwise(cuts):
            share = (start + end) / 2
            middle = a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
            # An upright pipe stands where its machine wants it; one along a wall needs room beside it.
            if end - start > _TOUCHING and not self.holds(middle, 0.0 if upright else clear):
                outside += end - start
        return outside


def room_of(site: Site) -> Room:
    """The room of a site."""
    corners = tuple((corner.east.si, corner.north.si) for corner in site.room)
    ceiling = site.height.si if site.height else inf
    return Room(corners if len(corners) > 2 else (), ceiling, tuple(Obstacle(zone.name, _box_of(zone)) for zone in site.zones))


def _box_of(zone: Zone) -> Box:
    low, high = zone.bottom.si if zone.bottom else -inf, zone.top.si if zone.top else inf
    return Box((zone.west.si, zone.south.si, low), (zone.east.si, zone.north.si, high))


def _apart(spot: Spot, a: Spot, b: Spot) -> float:
    """Distance of a spot from a wall."""
    along = (b[0] - a[0], b[1] - a[1])
    square = along[0] ** 2 + along[1] ** 2
    share = ((spot[0] - a[0]) * along[0] + (spot[1] - a[1]) * along[1]) / square if square else 0.0
    share = min(max(share, 0.0), 1.0)
    return hypot(spot[0] - a[0] - share * along[0], spot[1] - a[1] - share * along[1])


def crossing(a: Point, b: Point, c: Spot, d: Spot) -> float | None:
    """The share of the way from a to b, seen from above, at which it crosses the wall from c to d."""
    way, wall = (b[0] - a[0], b[1] - a[1]), (d[0] - c[0], d[1] - c[1])
    across = way[0] * wall[1] - way[1] * wall[0]
    if abs(across) < _TOUCHING:
        return None
    from_a = (c[0] - a[0], c[1] - a[1])
    on_way = (from_a[0] * wall[1] - from_a[1] * wall[0]) / across
    on_wall = (from_a[0] * way[1] - from_a[1] * way[0]) / across
    return on_way if 0.0 <= on_way <= 1.0 and 0.0 <= on_wall <= 1.0 else None


def _share_above(a: float, b: float, height: float) -> float:
    low, high = min(a, b), max(a, b)
    return 1.0 if low >= height else (high - height) / (high - low)
