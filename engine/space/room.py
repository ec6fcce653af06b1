"""The room that ducts have to fit into: its walls, its ceiling and what stands or must stay clear in it.

Points are (east, north, up) in m. What a design does not say of its site
holds nothing back: no walls, no ceiling, no zones.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from math import inf
from typing import NamedTuple

import numpy as np

from engine.design import Site, Zone
from engine.design.model import in_the_way
from engine.shapes import many
from engine.shapes.clearance import NEAR, Box, Spot, holds, sides, wider
from engine.shapes.many import Array, Bools
from engine.shapes.vectors import Point
from engine.values import dataclass


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
        return not self.corners or holds(self.corners, spot, clear)

    def hold(self, spots: Array, clear: Array | float = 0.0) -> Bools:
        """Whether spots of the floor (spots, 2) lie within the walls, at least `clear` m off them, (spots,)."""
        if not self.corners:
            return np.ones(len(spots), bool)
        return many.inside(spots, self._walls) & (many.off_walls(spots, self._walls) >= clear - NEAR)

    def in_zone(self, point: Point, clear: float = 0.0) -> str | None:
        """The name of the zone a point lies in, or nearer to than `clear` m, level."""
        for name, (low, high) in self.obstacles:
            level = all(low[axis] - clear < point[axis] < high[axis] + clear for axis in (0, 1))
            if level and low[2] < point[2] < high[2]:
                return name
        return None

    def barred(self, line: Sequence[Point], clear: float) -> float:
        """Metres of a line, the middle of a duct of radius `clear`, that lie behind a wall, above the ceiling or in a zone."""
        points = np.array(line, float)
        return float(self.metres_barred(points[:-1], points[1:], clear).sum())

    def metres_barred(self, starts: Array, ends: Array, clear: float) -> Array:
        """The same of each of many straight ways, from and to (ways, 3)."""
        barred = many.shares_within(starts, ends, [wider(box, clear) for _, box in self.obstacles]).max(axis=1, initial=0.0)
        if self.corners:
            barred = np.maximum(barred, self._shares_outside(starts, ends, clear))
        barred = np.maximum(barred, _shares_above(starts[:, 2], ends[:, 2], self.ceiling - clear))
        metres: Array = barred * np.linalg.norm(ends - starts, axis=1)
        return metres

    @cached_property
    def _walls(self) -> Array:
        return np.array(self.walls)

    def _shares_outside(self, starts: Array, ends: Array, clear: float) -> Array:
        way = (ends - starts)[:, :2]
        cuts = np.sort(many.crossings(starts, ends, self._walls), axis=1)
        marks = np.hstack([np.zeros((len(cuts), 1)), cuts, np.ones((len(cuts), 1))])
        parts = np.diff(marks, axis=1)
        line, part = np.nonzero(parts > NEAR)
        share = (marks[line, part] + marks[line, part + 1]) / 2
        # An upright pipe stands where its machine wants it; one along a wall needs room beside it.
        beside = np.where(np.hypot(way[line, 0], way[line, 1]) < NEAR, 0.0, clear)
        outside = ~self.hold(starts[line, :2] + share[:, None] * way[line], beside)
        shares = np.zeros(len(starts))
        np.add.at(shares, line, outside * parts[line, part])
        return shares


def room_of(site: Site) -> Room:
    """The room of a site."""
    corners = tuple((corner.east.si, corner.north.si) for corner in site.room)
    ceiling = site.height.si if site.height else inf
    return Room(corners if len(corners) > 2 else (), ceiling, tuple(Obstacle(zone.name, _box_of(zone)) for zone in in_the_way(site.zones)))


def _box_of(zone: Zone) -> Box:
    low, high = zone.bottom.si if zone.bottom else -inf, zone.top.si if zone.top else inf
    return Box((zone.west.si, zone.south.si, low), (zone.east.si, zone.north.si, high))


def _shares_above(starts: Array, ends: Array, height: float) -> Array:
    """The share of each way, from and to so high (ways,), that lies above a height, more than touching."""
    low, high = np.minimum(starts, ends), np.maximum(starts, ends)
    slope = np.where(high > low, high - low, 1.0)
    part = np.where(low >= height, 1.0, (high - height) / slope)
    return np.where(high > height + NEAR, part, 0.0)
