"""What is in the way of what: lines in space, boxes, and the outline of a room seen from above. Lengths in m."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot
from typing import NamedTuple

from engine.shapes.vectors import Point, dot, moved

Spot = tuple[float, float]
# What differs by less is one and the same, m.
NEAR = 1e-9


class Box(NamedTuple):
    """A box along the axes, by its lowest and its highest corner."""

    low: Point
    high: Point


def box_of(a: Point, b: Point) -> Box:
    """The box that a line fills."""
    (w, s, d), (e, n, u) = a, b
    if w > e:
        w, e = e, w
    if s > n:
        s, n = n, s
    if d > u:
        d, u = u, d
    return Box((w, s, d), (e, n, u))


def box_round(points: Sequence[Point]) -> Box:
    """The box that some points fill."""
    east, north, up = zip(*points, strict=True)
    return Box((min(east), min(north), min(up)), (max(east), max(north), max(up)))


def around(a: Box, b: Box) -> Box:
    """The box that two boxes fill."""
    (w, s, d), (e, n, u) = a
    (low_w, low_s, low_d), (high_e, high_n, high_u) = b
    return Box(
        (w if w < low_w else low_w, s if s < low_s else low_s, d if d < low_d else low_d),
        (e if e > high_e else high_e, n if n > high_n else high_n, u if u > high_u else high_u),
    )


def wider(box: Box, by: float) -> Box:
    """A box with so much more on every side."""
    (w, s, d), (e, n, u) = box
    return Box((w - by, s - by, d - by), (e + by, n + by, u + by))


def shifted(box: Box, by: Point) -> Box:
    """A box moved so far."""
    (w, s, d), (e, n, u) = box
    east, north, up = by
    return Box((w + east, s + north, d + up), (e + east, n + north, u + up))


def overlap(a: Box, b: Box) -> bool:
    """Whether two boxes have a point in common."""
    (w, s, d), (e, n, u) = a
    (low_w, low_s, low_d), (high_e, high_n, high_u) = b
    return w <= high_e and low_w <= e and s <= high_n and low_s <= n and d <= high_u and low_d <= u


def nearest(a: Point, b: Point, c: Point, d: Point) -> tuple[float, float]:
    """Where the lines a-b and c-d come nearest, as the shares of either line up to there, 0 to 1."""
    along, other, apart = moved(b, a, -1.0), moved(d, c, -1.0), moved(a, c, -1.0)
    aa, bb, ab = dot(along, along), dot(other, other), dot(along, other)
    ac, bc = dot(along, apart), dot(other, apart)
    if aa < NEAR or bb < NEAR:
        return (0.0, _share(bc, bb)) if aa < NEAR else (_share(-ac, aa), 0.0)
    slant = aa * bb - ab * ab
    s = _share(ab * bc - ac * bb, slant) if slant > NEAR * aa * bb else 0.0
    t = (ab * s + bc) / bb
    if t < 0.0:
        return _share(-ac, aa), 0.0
    return (_share(ab - ac, aa), 1.0) if t > 1.0 else (s, t)


def _share(part: float, whole: float) -> float:
    return min(max(part / whole, 0.0), 1.0) if whole > 0.0 else 0.0


def enters(a: Point, b: Point, box: Box) -> bool:
    """Whether the line a-b has a point within a box, more than touching its faces."""
    return share_within(a, b, box) > 0.0


def share_within(a: Point, b: Point, box: Box) -> float:
    """The share of the line a-b that lies within a box: what each pair of its faces leaves of it; none of a line in a face."""
    first, last = 0.0, 1.0
    for at, to, low, high in zip(a, b, *box, strict=True):
        step = to - at
        if abs(step) < NEAR:
            if not low + NEAR < at < high - NEAR:
                return 0.0
            continue
        enter, leave = sorted(((low - at) / step, (high - at) / step))
        first, last = max(first, enter), min(last, leave)
    return max(last - first, 0.0)


def turns(a: Spot, b: Spot, c: Spot) -> float:
    """Twice the area of a triangle seen from above, positive where it turns left."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def cross(a: Spot, b: Spot, c: Spot, d: Spot) -> bool:
    """Whether two lines seen from above cross, more than touching."""
    return turns(a, b, c) * turns(a, b, d) < 0.0 and turns(c, d, a) * turns(c, d, b) < 0.0


def crossing(a: Point, b: Point, c: Spot, d: Spot) -> float | None:
    """The share of the way from a to b, seen from above, at which it crosses the wall from c to d."""
    way, wall = (b[0] - a[0], b[1] - a[1]), (d[0] - c[0], d[1] - c[1])
    across = way[0] * wall[1] - way[1] * wall[0]
    if abs(across) < NEAR:
        return None
    from_a = (c[0] - a[0], c[1] - a[1])
    on_way = (from_a[0] * wall[1] - from_a[1] * wall[0]) / across
    on_wall = (from_a[0] * way[1] - from_a[1] * way[0]) / across
    return on_way if 0.0 <= on_way <= 1.0 and 0.0 <= on_wall <= 1.0 else None


def touch(a: Spot, b: Spot, c: Spot, d: Spot) -> bool:
    """Whether two lines seen from above have a point in common."""
    return cross(a, b, c, d) or on_line(a, c, d) or on_line(b, c, d) or on_line(c, a, b) or on_line(d, a, b)


def on_line(spot: Spot, a: Spot, b: Spot) -> bool:
    """Whether a spot lies on the line a-b."""
    if abs(turns(a, b, spot)) > NEAR:
        return False
    return min(a[0], b[0]) <= spot[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= spot[1] <= max(a[1], b[1])


def off_line(spot: Spot, a: Spot, b: Spot) -> float:
    """How far a spot is off the line a-b."""
    x, y, way_x, way_y = spot[0] - a[0], spot[1] - a[1], b[0] - a[0], b[1] - a[1]
    share = _share(x * way_x + y * way_y, way_x**2 + way_y**2)
    return hypot(x - share * way_x, y - share * way_y)


def sides(corners: Sequence[Spot]) -> list[tuple[Spot, Spot]]:
    """The walls between corners, the last one back to the first."""
    return list(zip(corners, (*corners[1:], *corners[:1]), strict=True))


def inside(spot: Spot, corners: Sequence[Spot]) -> bool:
    """Whether a spot lies within an outline or on it."""
    return within(spot, corners) or any(on_line(spot, a, b) for a, b in sides(corners))


def holds(corners: Sequence[Spot], spot: Spot, clear: float) -> bool:
    """Whether a spot lies within an outline, at least `clear` m off it."""
    return inside(spot, corners) and all(off_line(spot, a, b) >= clear - NEAR for a, b in sides(corners))


def within(spot: Spot, corners: Sequence[Spot]) -> bool:
    """Whether a spot, on none of its sides, lies within an outline: a line from it to one side crosses an odd number of them."""
    (x, y), odd = spot, False
    x1, y1 = corners[-1]
    for x2, y2 in corners:
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) / (y2 - y1) * (x2 - x1):
            odd = not odd
        x1, y1 = x2, y2
    return odd
