"""A grid of character cells to draw on: lines, trails, curves, points, text, and a ground behind them.

Pure Python. Coordinates count cells from the top left corner; curves take
fractions of a cell. What is drawn is read back as rows of (text, role) spans,
so that the same drawing serves a screen, a report and a test.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby, pairwise
from math import ceil, floor, log10

from tui.draw.glyphs import Glyphs

Span = tuple[str, str]

_NORTH, _EAST, _SOUTH, _WEST = 1, 2, 4, 8
_BRAILLE = 0x2800
# Bit of the braille dot in column 0 or 1, row 0 to 3.
_DOTS = ((0x01, 0x02, 0x04, 0x40), (0x08, 0x10, 0x20, 0x80))
Cell = tuple[int, int]


class Raster:
    """A grid of `width` by `height` cells."""

    def __init__(self, width: int, height: int, glyphs: Glyphs) -> None:
        self.width, self.height, self.glyphs = width, height, glyphs
        self._cells: dict[tuple[int, int], Span] = {}
        self._arms: dict[Cell, tuple[int, bool, str, str]] = {}
        self._dots: dict[Cell, tuple[int, str]] = {}
        self._trails: dict[Cell, Span] = {}
        self._ground: dict[Cell, Span] = {}
        self._marked: dict[Cell, str] = {}

    def text(self, x: int, y: int, text: str, role: str = "text") -> None:
        """Write `text` from cell (x, y) to the right; it covers lines and curves."""
        for at, character in enumerate(text, x):
            self._put(at, y, character, role)

    def point(self, x: float, y: float, kind: str, role: str = "text") -> None:
        """Mark the cell that holds (x, y): kind "ring", "shut", "machine", "port", "down", "up", "asked" or "hardest"."""
        self._put(floor(x), floor(y), self.glyphs.marks[kind], role)

    def line(
        self, cells: Sequence[Cell], role: str = "text", *, double: bool = False, owner: str = "", meets: frozenset[str] = frozenset(),
    ) -> None:  # fmt: skip
        """Draw a line through the middles of `cells`; slanting stretches go in steps.

        Lines of one owner join, and so do those of owners in `meets`; where a
        double and a single line meet, the double one is shown. A line covers
        those of any other owner.
        """
        for start, end in pairwise(cells):
            for here, there in pairwise(staircase(start, end)):
                self._join(here, there, role, double, owner, meets)

    def slant(self, start: tuple[float, float], end: tuple[float, float], role: str = "text", *, double: bool = False) -> None:
        """Draw a straight line in any direction between two points, in cells; wants glyphs with braille."""
        columns, rows = (end[0] - start[0]) * 2, (end[1] - start[1]) * 4
        steps = max(ceil(max(abs(columns), abs(rows))), 1)
        aside = (0, 0) if not double else (2, 0) if abs(rows) > abs(columns) else (0, 2)
        for step in range(steps + 1):
            column, row = floor(start[0] * 2 + columns * step / steps), floor(start[1] * 4 + rows * step / steps)
            for shift in {0, 1} if double else (0,):
                x, y = column + shift * aside[0], row + shift * aside[1]
                if x >= 0 and y >= 0:
                    self._dot(x, y, role)

    def trail(self, cells: Iterable[Cell], kind: str, role: str = "text") -> None:
        """Lay a trail over `cells`, behind every line: kind "hose", "still" or "wide still"."""
        for cell in cells:
            self._trails[cell] = (self.glyphs.trails[kind], role)

    def ground(self, cells: Iterable[Cell], kind: str, role: str = "dim") -> None:
        """Fill `cells` behind everything else: kind "wall", "post", "door" or "keep clear"."""
        for cell in cells:
            self._ground[cell] = (self.glyphs.grounds[kind], role)

    def mark(self, cells: Iterable[Cell], role: str) -> None:
        """Add a role to what `cells` hold."""
        self._marked.update(dict.fromkeys(cells, role))

    @property
    def taken(self) -> set[Cell]:
        """The cells that hold something other than ground."""
        return {*self._cells, *self._dots, *self._arms, *self._trails}

    @property
    def grounded(self) -> set[Cell]:
        """The cells that have ground."""
        return set(self._ground)

    def curve(self, points: Iterable[tuple[float, float]], role: str = "text", *, dotted: bool = False) -> None:
        """Draw a curve through `points` (x, y in cells, x rising), as finely as the glyphs allow."""
        if self.glyphs.braille:
            for column, rows in _covered(points, 2, 4, self.width, self.height):
                if not dotted or column % 4 < 2:
                    for row in rows:
                        self._dot(column, row, role)
            return
        steps, steep = self.glyphs.curves[dotted]
        for x, rows in _covered(points, 1, len(steps), self.width, self.height):
            for y, inside in groupby(rows, key=lambda row: row // len(steps)):
                first, *more = inside
                self._put(x, y, steep if more else steps[first % len(steps)], role)

    def rows(self) -> list[tuple[Span, ...]]:
        """The drawing, top row first, each row as (text, role) spans of the raster's width."""
        return [self._row(y) for y in range(self.height)]

    def _row(self, y: int) -> tuple[Span, ...]:
        cells = [self._cell(x, y) for x in range(self.width)]
        grouped = groupby(cells, key=lambda cell: cell[1])
        return tuple(("".join(character for character, _ in group), role) for role, group in grouped)

    def _cell(self, x: int, y: int) -> Span:
        character, role = self._drawn((x, y))
        return (character, f"{role} {self._marked[x, y]}") if (x, y) in self._marked else (character, role)

    def _drawn(self, cell: Cell) -> Span:
        if written := self._cells.get(cell):
            return written
        if dots := self._dots.get(cell):
            return chr(_BRAILLE + dots[0]), dots[1]
        if arms := self._arms.get(cell):
            return self.glyphs.strokes[arms[1]][arms[0]], arms[2]
        return self._trails.get(cell) or self._ground.get(cell) or (" ", "text")

    def _put(self, x: int, y: int, character: str, role: str) -> None:
        if 0 <= x < self.width and 0 <= y < self.height:
            self._cells[x, y] = (character, role)

    def _join(self, here: Cell, there: Cell, role: str, double: bool, owner: str, meets: frozenset[str]) -> None:
        (x, y), (to_x, to_y) = here, there
        if to_x != x:
            out, back = (_EAST, _WEST) if to_x > x else (_WEST, _EAST)
        else:
            out, back = (_SOUTH, _NORTH) if to_y > y else (_NORTH, _SOUTH)
        for cell, arm in ((here, out), (there, back)):
            arms, was_double, was_role, was_owner = self._arms.get(cell, (0, False, role, owner))
            if was_owner != owner and was_owner not in meets:
                arms, was_double, was_role = 0, False, role
            self._arms[cell] = (arms | arm, was_double or double, role if double or not was_double else was_role, owner)

    def _dot(self, column: int, row: int, role: str) -> None:
        cell = column // 2, row // 4
        bits, _ = self._dots.get(cell, (0, role))
        self._dots[cell] = (bits | _DOTS[column % 2][row % 4], role)


def _covered(points: Iterable[tuple[float, float]], across: int, down: int, width: int, height: int) -> Iterator[tuple[int, range]]:
    """(column, rows) a polyline covers on a grid of `across` by `down` steps a cell.

    A steep stretch covers every row it passes, so that no gap is left in it.
    """
    scaled = [(x * across, y * down) for x, y in points]
    last: int | None = None
    for column in range(width * across):
        y = _height_at(scaled, column + 0.5)
        if y is None or not 0 <= y < height * down:
            last = None
            continue
        row = floor(y)
        if last is None or row == last:
            yield column, range(row, row + 1)
        else:
            yield column, range(last + 1, row + 1) if row > last else range(row, last)
        last = row


def _height_at(points: list[tuple[float, float]], x: float) -> float | None:
    """y of a polyline at `x`; None outside it."""
    for (x0, y0), (x1, y1) in pairwise(points):
        if x0 <= x <= x1 and x1 > x0:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return None


def staircase(start: Cell, end: Cell) -> list[Cell]:
    """Cells from start to end, each beside the one before (never cornerwise)."""
    (x, y), (to_x, to_y) = start, end
    step_x, step_y = (1 if to_x > x else -1), (1 if to_y > y else -1)
    wide, high = abs(to_x - x), abs(to_y - y)
    cells, gone_x, gone_y = [start], 0, 0
    while gone_x < wide or gone_y < high:
        # The axis that lags behind the straight line from start to end goes next.
        if gone_y == high or (gone_x < wide and (gone_x + 0.5) * high <= (gone_y + 0.5) * wide):
            gone_x += 1
        else:
            gone_y += 1
        cells.append((x + step_x * gone_x, y + step_y * gone_y))
    return cells


def round_step(span: float, marks: int) -> float:
    """A step of 1, 2 or 5 times a power of ten that puts at most `marks` marks in `span`."""
    if span <= 0 or marks < 1:
        return 1.0
    step = 10.0 ** floor(log10(span / marks))
    for factor in (1, 2, 5, 10):
        if ceil(span / (step * factor)) <= marks:
            return step * factor
    return step * 10
