"""The rules of `engine.shapes.clearance` over arrays: spots (spots, 2), walls (walls, 2 ends, 2), lines by their ends (lines, 3). Lengths in m."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from engine.shapes.clearance import NEAR, Box

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]
Positions = NDArray[np.intp]


def inside(spots: Array, walls: Array) -> Bools:
    """Whether spots lie within the outline that walls make or on it, (spots,)."""
    x, y, x1, y1, x2, y2 = _side_by_side(spots, walls)
    rise = np.where(y1 == y2, 1.0, y2 - y1)
    odd = ((y1 > y) != (y2 > y)) & (x < x1 + (y - y1) / rise * (x2 - x1))
    in_line = np.abs((x2 - x1) * (y - y1) - (y2 - y1) * (x - x1)) <= NEAR
    beside = (np.minimum(x1, x2) <= x) & (x <= np.maximum(x1, x2)) & (np.minimum(y1, y2) <= y) & (y <= np.maximum(y1, y2))
    found: Bools = (odd.sum(axis=1) % 2 == 1) | (in_line & beside).any(axis=1)
    return found


def off_walls(spots: Array, walls: Array) -> Array:
    """How far spots are off the nearest of at least one wall, (spots,)."""
    x, y, x1, y1, x2, y2 = _side_by_side(spots, walls)
    square = (x2 - x1) ** 2 + (y2 - y1) ** 2
    share = ((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / np.where(square > 0.0, square, 1.0)
    share = np.clip(share, 0.0, 1.0)
    off: Array = np.hypot(x - x1 - share * (x2 - x1), y - y1 - share * (y2 - y1)).min(axis=1)
    return off


def crossings(starts: Array, ends: Array, walls: Array) -> Array:
    """The share of each line, seen from above, at which it crosses each wall, (lines, walls); 1 where it does not."""
    x, y, x1, y1, x2, y2 = _side_by_side(starts, walls)
    way_x, way_y = (ends[:, None, axis] - starts[:, None, axis] for axis in (0, 1))
    across = way_x * (y2 - y1) - way_y * (x2 - x1)
    meets = np.abs(across) >= NEAR
    across = np.where(meets, across, 1.0)
    on_way = ((x1 - x) * (y2 - y1) - (y1 - y) * (x2 - x1)) / across
    on_wall = ((x1 - x) * way_y - (y1 - y) * way_x) / across
    meets &= (on_way >= 0.0) & (on_way <= 1.0) & (on_wall >= 0.0) & (on_wall <= 1.0)
    return np.where(meets, on_way, 1.0)


def shares_within(starts: Array, ends: Array, boxes: Sequence[Box]) -> Array:
    """The share of each line that lies within each box, (lines, boxes)."""
    low, high = np.array(boxes, float).reshape(-1, 2, 3).transpose(1, 0, 2)
    at, step = starts[:, None], (ends - starts)[:, None]
    still = np.abs(step) < NEAR
    step = np.where(still, 1.0, step)
    one, other = (low - at) / step, (high - at) / step
    outside = ~((low + NEAR < at) & (at < high - NEAR))
    first = np.where(still, outside * 1.0, np.minimum(one, other)).max(axis=2)
    last = np.where(still, 1.0, np.maximum(one, other)).min(axis=2)
    shares: Array = np.maximum(np.minimum(last, 1.0) - np.maximum(first, 0.0), 0.0)
    return shares


def _side_by_side(spots: Array, walls: Array) -> tuple[Array, Array, Array, Array, Array, Array]:
    """East and north of spots (spots, 1), and of both ends of walls (1, walls)."""
    return spots[:, None, 0], spots[:, None, 1], walls[None, :, 0, 0], walls[None, :, 0, 1], walls[None, :, 1, 0], walls[None, :, 1, 1]
