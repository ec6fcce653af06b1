"""Middles of spots on a floor that a person can check with a tape: where a collector has the least way to all machines.

Of the least total way and of the least longest way; as the crow flies, or
along the walls' directions, as ducts mostly run. Spots are (east, north) in m.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, dist, floor, hypot, sqrt
from statistics import median

from engine.values import dataclass

Spot = tuple[float, float]
# A middle is found when a step is shorter than this, m, or after so many steps, by when no tape could tell.
_SETTLED, _MOST_STEPS = 1e-10, 20_000
# A spot this much farther than a circle's radius, of the whole spread, still counts as in it.
_ROUNDING = 1e-10


@dataclass(frozen=True, slots=True)
class Middle:
    """A spot and its total way to the others, or its longest, m."""

    at: Spot
    way: float


def total_way(at: Spot, spots: Sequence[Spot], *, along_walls: bool = False) -> float:
    """Sum of the ways from a spot to others, m."""
    return sum(_way(at, spot, along_walls) for spot in spots)


def longest_way(at: Spot, spots: Sequence[Spot], *, along_walls: bool = False) -> float:
    """The longest way from a spot to others, m."""
    return max(_way(at, spot, along_walls) for spot in spots)


def least_total(spots: Sequence[Spot], *, along_walls: bool = False) -> Middle:
    """The spot from which the ways to these, at least one, add up to the least; one of several where they lie on a line.

    As the crow flies: Weiszfeld's iteration, with what Vardi and Zhang (The
    multivariate L1-median and associated data depth, PNAS 97, 2000) do where
    it comes to one of the spots. Along the walls: the median of either axis.
    """
    easts, norths = zip(*spots, strict=True)
    if along_walls:
        at = (median(easts), median(norths))
        return Middle(at, total_way(at, spots, along_walls=True))
    at = (sum(easts) / len(spots), sum(norths) / len(spots))
    for _ in range(_MOST_STEPS):
        onward = _weiszfeld(at, spots)
        step, at = dist(at, onward), onward
        if step < _SETTLED:
            break
    at = min([at, *spots], key=lambda spot: total_way(spot, spots))
    return Middle(at, total_way(at, spots))


def least_longest(spots: Sequence[Spot], *, along_walls: bool = False) -> Middle:
    """The spot from which the longest way to these, at least one, is the least.

    As the crow flies: the centre of the smallest circle round them, found
    point by point (Welzl, Smallest enclosing disks, LNCS 555, 1991). Along the
    walls: that of the smallest square on its corner.
    """
    if along_walls:
        rising, falling = [x + y for x, y in spots], [x - y for x, y in spots]
        u, v = ((min(values) + max(values)) / 2 for values in (rising, falling))
        at = ((u + v) / 2, (u - v) / 2)
        return Middle(at, longest_way(at, spots, along_walls=True))
    at = _circle_centre(sorted(set(spots)))
    return Middle(at, longest_way(at, spots))


def _way(a: Spot, b: Spot, along_walls: bool) -> float:
    return abs(a[0] - b[0]) + abs(a[1] - b[1]) if along_walls else dist(a, b)


def _weiszfeld(at: Spot, spots: Sequence[Spot]) -> Spot:
    """The mean of the spots, each weighed by the inverse of its way; held back by those that lie right here."""
    apart = [(spot, way) for spot in spots if (way := dist(at, spot)) > 0.0]
    if not apart:
        return at
    weight = sum(1 / way for _, way in apart)
    mean = (sum(spot[0] / way for spot, way in apart) / weight, sum(spot[1] / way for spot, way in apart) / weight)
    here = len(spots) - len(apart)
    pull = weight * dist(mean, at)
    held = min(here / pull, 1.0) if pull > 0.0 else 1.0
    return ((1 - held) * mean[0] + held * at[0], (1 - held) * mean[1] + held * at[1]) if here else mean


def _circle_centre(spots: Sequence[Spot]) -> Spot:
    """The centre of the smallest circle round spots."""
    near = _ROUNDING * hypot(*(max(values) - min(values) for values in zip(*spots, strict=True)))

    def outside(spot: Spot) -> bool:
        return dist(spot, centre) > radius + near

    centre, radius = spots[0], 0.0
    for i, a in enumerate(spots):
        if not outside(a):
            continue
        centre, radius = a, 0.0
        for j, b in enumerate(spots[:i]):
            if not outside(b):
                continue
            centre, radius = _halfway(a, b), dist(a, b) / 2
            for c in spots[:j]:
                if outside(c):
                    centre = _equally_far(a, b, c)
                    radius = dist(centre, a)
    return centre


def _halfway(a: Spot, b: Spot) -> Spot:
    return ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)


def _equally_far(a: Spot, b: Spot, c: Spot) -> Spot:
    """The centre of the circle through three spots; half way between the two farthest apart where they lie on a line."""
    (bx, by), (cx, cy) = ((x - a[0], y - a[1]) for x, y in (b, c))
    across = 2 * (bx * cy - by * cx)
    if abs(across) <= _ROUNDING * sqrt((bx * bx + by * by) * (cx * cx + cy * cy)):
        return _halfway(*max(((a, b), (a, c), (b, c)), key=lambda pair: dist(*pair)))
    bb, cc = bx * bx + by * by, cx * cx + cy * cy
    return (a[0] + (cy * bb - by * cc) / across, a[1] + (bx * cc - cx * bb) / across)


def marks(low: float, high: float, spacing: float, most: int) -> tuple[float, ...]:
    """Marks `spacing` m apart from `low` to `high`, the first at the first half spacing, at most one more than `most`; the middle for none."""
    first = ceil(low / spacing * 2 - 1e-9) * spacing / 2
    steps = floor((high - first) / spacing + 1e-9)
    return tuple(first + i * spacing for i in range(min(steps, most) + 1)) or ((low + high) / 2,)
