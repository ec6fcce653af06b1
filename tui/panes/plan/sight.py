"""How a scene is looked at: from above or from the side, from where, and at what scale.

A cell of a terminal is twice as high as it is wide: a row spans twice the
metres of a column, and nothing is stretched.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import floor

from engine.shapes.vectors import Point
from engine.units import show
from engine.values import dataclass

TITLES = {"plan": "plan, north is up", "north": "looking north, west is left", "east": "looking east, north is left"}
# Scales to choose from, m to a column: metric ones are round decimals, imperial ones whole or half inches.
_INCHES = (0.5, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 7, 8, 9, 10, 12, 15, 18, 24, 30, 36, 48, 60, 84, 120, 240, 480, 960, 2400)
_STEPS = {
    "metric": tuple(round(step * 10.0**power, 4) for power in (-2, -1, 0, 1, 2) for step in (1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8)),
    "imperial": tuple(round(inches * 0.0254, 6) for inches in _INCHES),
}  # fmt: skip
_MARGIN = 2
_MOST_CELLS = 5000
_ROW = 2.0


@dataclass(frozen=True, slots=True)
class Sight:
    """One view of `width` by `height` cells: `right` and `up` (m) of its middle, and how many m a column spans."""

    view: str
    right: float
    up: float
    column: float
    width: int
    height: int

    def at(self, point: Point) -> tuple[float, float]:
        """Where a point is, in cells from the top left corner."""
        right, up = flat(self.view, point)
        return self.width / 2 + (right - self.right) / self.column, self.height / 2 - (up - self.up) / (self.column * _ROW)

    def cell(self, point: Point) -> tuple[int, int]:
        """The cell that holds a point."""
        x, y = self.at(point)
        return floor(round(x, 3)), floor(round(y, 3))

    def holds(self, point: Point) -> bool:
        """Whether a point is in sight."""
        return self.has(self.cell(point))

    def has(self, cell: tuple[int, int]) -> bool:
        """Whether a cell is one of the sight's."""
        return 0 <= cell[0] < self.width and 0 <= cell[1] < self.height

    def panned(self, columns: float, rows: float) -> Sight:
        """Looked at from a place so many cells to the right and down."""
        return replace(self, right=self.right + columns * self.column, up=self.up - rows * self.column * _ROW)


def flat(view: str, point: Point) -> tuple[float, float]:
    """A point in a view: m to the right, m up."""
    east, north, up = point
    return (east, north) if view == "plan" else (east, up) if view == "north" else (-north, up)


def span(view: str, points: Sequence[Point]) -> tuple[float, float, float, float]:
    """Left, right, low and high of points in a view."""
    flats = [flat(view, point) for point in points] or [(0.0, 0.0)]
    return min(x for x, _ in flats), max(x for x, _ in flats), min(y for _, y in flats), max(y for _, y in flats)


def steps(units: str) -> tuple[float, ...]:
    """The scales of a system of units, finest first, m to a column."""
    return _STEPS[units]


def stepped(column: float, by: int, units: str, points: Sequence[Point]) -> float:
    """The scale `by` steps coarser; no finer than what keeps the whole within some thousands of cells."""
    allowed = [step for step in steps(units) if step * _MOST_CELLS >= _widest(points)] or [steps(units)[-1]]
    nearest = min(range(len(allowed)), key=lambda at: abs(allowed[at] - column))
    return allowed[min(max(nearest + by, 0), len(allowed) - 1)]


def _widest(points: Sequence[Point]) -> float:
    return max((max(axis) - min(axis) for axis in zip(*points, strict=True)), default=0.0)


def fitted(views: Sequence[str], points: Sequence[Point], width: int, height: int, units: str, column: float | None = None) -> list[Sight]:
    """Sights of one scale, one below the other with a row between, that hold all points; or at the scale `column`."""
    spans = [span(view, points) for view in views]
    free = height - (len(views) - 1)
    wide = max(right - left for left, right, _, _ in spans)
    if column is None:
        column = next((step for step in steps(units) if _fits(step, wide, spans, width, free)), steps(units)[-1])
    heights = [max(rows(column, low, high), 3) for _, _, low, high in spans]
    if len(views) > 1:
        last = min(heights[-1] + max(free - sum(heights), 0) // 2, max(free // 2, 3))
        heights = [free - last, last]
    else:
        heights = [free]
    return [
        Sight(view, (left + right) / 2, (low + high) / 2, column, width, tall)
        for view, (left, right, low, high), tall in zip(views, spans, heights, strict=True)
    ]


def rows(column: float, low: float, high: float) -> int:
    """Rows that a span takes, wherever its ends fall in theirs."""
    return int((high - low) / (column * _ROW)) + 2


def _fits(column: float, wide: float, spans: Sequence[tuple[float, float, float, float]], width: int, free: int) -> bool:
    return wide / column + 1 + 2 * _MARGIN <= width and sum(rows(column, low, high) for _, _, low, high in spans) <= free


def scale_text(column: float, units: str) -> str:
    """ "1 cell = 0.15 m across, 0.3 m up"."""
    across, up = (show(length, "length", units) for length in (column, _ROW * column))
    return f"1 cell = {across} across, {up} up"


def scale_bar(column: float, units: str, widest: int = 12) -> tuple[int, str]:
    """Cells and text of a bar: of the longest round length that is whole cells, at most `widest` of them, else of ten cells."""
    if units == "metric":
        lengths = [step * 10.0**power for power in (-2, -1, 0, 1, 2) for step in (1, 2, 3, 5)]
    else:
        lengths = [inches * 0.0254 for inches in (3, 6, 12, 24, 36, 60, 120, 240, 360, 600, 1200)]
    whole = [length for length in lengths if 4 <= (cells := length / column) <= widest and abs(cells - round(cells)) < 1e-3]
    length = whole[-1] if whole else 10 * column
    return round(length / column), show(length, "length", units)
