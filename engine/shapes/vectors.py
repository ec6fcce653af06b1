"""Points and directions in space: (east, north, up) in m; a direction is a unit vector."""

from __future__ import annotations

from math import cos, dist, sin, sqrt

Point = tuple[float, float, float]

WAYS: dict[str, Point] = {
    "north": (0, 1, 0), "south": (0, -1, 0), "east": (1, 0, 0), "west": (-1, 0, 0), "up": (0, 0, 1), "down": (0, 0, -1),
}  # fmt: skip
DIRECTIONS = tuple(WAYS)
# Two directions nearer than this to one line span no plane to turn in.
_ALONG = 1e-6


def dot(a: Point, b: Point) -> float:
    """The product of two vectors."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def moved(point: Point, way: Point, by: float) -> Point:
    """A point moved by so many metres."""
    return point[0] + by * way[0], point[1] + by * way[1], point[2] + by * way[2]


def heading(a: Point, b: Point) -> Point:
    """The direction from one point to another, apart."""
    length = dist(a, b)
    return (b[0] - a[0]) / length, (b[1] - a[1]) / length, (b[2] - a[2]) / length


def across(way: Point, aim: Point) -> Point | None:
    """The direction across `way` that leads toward `aim`; None where `aim` lies along it."""
    sideways = moved(aim, way, -dot(way, aim))
    length = sqrt(dot(sideways, sideways))
    return (sideways[0] / length, sideways[1] / length, sideways[2] / length) if length > _ALONG else None


def turned(way: Point, side: Point, angle: float) -> Point:
    """A direction turned by `angle` (radians) to a `side` across it."""
    on, aside = cos(angle), sin(angle)
    return on * way[0] + aside * side[0], on * way[1] + aside * side[1], on * way[2] + aside * side[2]
