"""How little duct can join points on a floor when every duct runs along one of two axes.

The least is the rectilinear Steiner minimal tree. One lies on the grid of
lines through the points (Hanan, On Steiner's problem with rectilinear
distance, SIAM J. Appl. Math. 14, 1966), where it is found by dynamic
programming over subsets of the points (Dreyfus and Wagner, The Steiner
problem in graphs, Networks 1, 1971).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import inf

Spot = tuple[float, float]
# Points for which the least is found exactly; the work grows threefold with each.
MOST_EXACT = 7
# A tree without points of its own is at most this much longer than the least one: Hwang, On Steiner minimal trees with
# rectilinear distance, SIAM J. Appl. Math. 30, 1976.
_HWANG = 1.5


def least_length(points: Sequence[Spot]) -> tuple[float, bool]:
    """Metres of duct along two axes that no layout which joins the points can go below, and whether that is the least itself."""
    spots = sorted(set(points))
    if len(spots) <= MOST_EXACT:
        return steiner_length(spots), True
    return max(half_perimeter(spots), spanning_length(spots) / _HWANG), False


def half_perimeter(points: Sequence[Spot]) -> float:
    """Half the way round the smallest box that holds the points, m."""
    return sum(max(values) - min(values) for values in zip(*points, strict=True)) if points else 0.0


def spanning_length(points: Sequence[Spot]) -> float:
    """Length of the shortest tree along two axes that parts only at the points, m (Prim)."""
    if not points:
        return 0.0
    length, apart = 0.0, {point: _distance(point, points[0]) for point in set(points) - {points[0]}}
    while apart:
        nearest = min(apart, key=lambda point: apart[point])
        length += apart.pop(nearest)
        apart = {point: min(way, _distance(point, nearest)) for point, way in apart.items()}
    return length


def steiner_length(points: Sequence[Spot]) -> float:
    """Length of the shortest tree along two axes that joins the points and may part anywhere, m."""
    *ends, root = sorted(set(points)) or [(0.0, 0.0)]
    easts, norths = (sorted({point[axis] for point in points}) for axis in (0, 1))
    grid = [(east, north) for north in norths for east in easts]
    # least[subset][spot]: the shortest tree that joins the ends of a subset, as bits, and the spot of the grid.
    least: list[list[float]] = [[0.0] * len(grid) for _ in range(1 << len(ends))]
    for subset in range(1, 1 << len(ends)):
        if subset & (subset - 1) == 0:
            end = ends[subset.bit_length() - 1]
            least[subset] = [_distance(end, spot) for spot in grid]
        else:
            least[subset] = _spread(_merge(least, subset), easts, norths)
    return least[-1][grid.index(root)] if ends else 0.0


def _merge(least: Sequence[list[float]], subset: int) -> list[float]:
    """The shortest at each spot of two trees that part there."""
    best, part = [inf] * len(least[0]), (subset - 1) & subset
    while part > subset ^ part:
        best = [min(now, a + b) for now, a, b in zip(best, least[part], least[subset ^ part], strict=True)]
        part = (part - 1) & subset
    return best


def _spread(lengths: list[float], easts: Sequence[float], norths: Sequence[float]) -> list[float]:
    """Each spot's length, or a neighbour's and the way from there: once there and back along either axis."""
    found, wide = lengths[:], len(easts)
    rows = [(range(row * wide, (row + 1) * wide), easts) for row in range(len(norths))]
    columns = [(range(column, len(found), wide), norths) for column in range(wide)]
    for spots, places in (*rows, *columns):
        steps = list(zip(pairwise(spots), pairwise(places), strict=True))
        for (a, b), (low, high) in steps:
            found[b] = min(found[b], found[a] + high - low)
        for (a, b), (low, high) in reversed(steps):
            found[a] = min(found[a], found[b] + high - low)
    return found


def _distance(a: Spot, b: Spot) -> float:
    return abs(a[0] - b[0]) + abs(a[1] - b[1])
