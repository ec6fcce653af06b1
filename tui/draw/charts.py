"""Charts of numbers: a bar, a scale with a mark on it, curves over two axes, and marks between the ends of two."""

from __future__ import annotations

from collections.abc import Sequence

from engine.values import dataclass
from tui.draw.glyphs import Glyphs
from tui.draw.lines import Line
from tui.draw.raster import Raster, round_step

Points = Sequence[tuple[float, float]]
# Cells of a chart at the least, and what a mark of the lower axis takes at the most.
SMALLEST = (20, 4)
_MARK_CELLS = 9


def bar(share: float, width: int, glyphs: Glyphs) -> str:
    """A bar of `share` (0 to 1) of `width` cells, in halves of a cell."""
    whole, half = glyphs.bar
    halves = round(min(max(share, 0.0), 1.0) * width * 2)
    return whole * (halves // 2) + half * (halves % 2)


def gauge(value: float, slow: float, fast: float, width: int, glyphs: Glyphs) -> str:
    """A scale from nothing to `fast` with a cross at `slow`; a ring marks `value`, past the end where it is faster."""
    cells = [glyphs.left, *glyphs.flat * (width - 3), glyphs.right, " "]
    at = [min(max(round((width - 2) * speed / fast), 0), width - 1) for speed in (slow, value)]
    cells[min(at[0], width - 3)] = glyphs.cross
    cells[width - 1 if value > fast else min(at[1], width - 2)] = glyphs.marks["ring"]
    return "".join(cells)


def shift(before: float, after: float, end: float, width: int, glyphs: Glyphs) -> str:
    """A scale from nothing to `end` with a cross at 1: a dot where a share was, a ring where it is now, past the end where it is more."""
    cells = [glyphs.left, *glyphs.flat * (width - 2), glyphs.right]
    for share, mark in ((1.0, glyphs.cross), (before, glyphs.marks["asked"]), (after, glyphs.marks["ring"])):
        cells[min(max(round((width - 1) * share / end), 0), width - 1)] = mark
    return "".join(cells)


@dataclass(frozen=True, slots=True)
class Axis:
    """An axis from 0 to `end`: the end as text, the unit that it is shown in, and how much one of that unit is."""

    end: float
    text: str
    unit: str
    one: float


@dataclass(frozen=True, slots=True)
class Curve:
    """A curve with its name, in a role of its own: points (x, y), x rising; what lies below the axis is left out."""

    name: str
    points: Points
    role: str
    dotted: bool = False


@dataclass(frozen=True, slots=True)
class Spot:
    """A point (x, y) of a chart, as a mark of a kind that glyphs have, in a role; one `under` the names of the curves may be covered by them."""

    at: tuple[float, float]
    kind: str
    role: str
    under: bool = False


@dataclass(frozen=True, slots=True)
class Span:
    """An axis from `low` to `high`, which may be one: what it is of, and both ends as text."""

    name: str
    low: float
    high: float
    texts: tuple[str, str]

    def share(self, value: float) -> float:
        """How far along a value lies, 0 to 1; in the middle where the ends are one."""
        return (value - self.low) / (self.high - self.low) if self.high > self.low else 0.5


@dataclass(frozen=True, slots=True)
class Mark:
    """A point (x, y), told by a short text in a role."""

    at: tuple[float, float]
    text: str
    role: str


def scatter(marks: Sequence[Mark], x: Span, y: Span, width: int, height: int, glyphs: Glyphs) -> list[Line]:
    """Marks in `width` by `height` cells, beside each other where they would cover one another. The first row and the last tell the axes' ends."""
    (bottom, top), (first, last) = y.texts, x.texts
    left = max(len(bottom), len(top)) + 1
    raster, floor = Raster(width, height, glyphs), height - 2
    raster.line([(left - 1, 0), (left - 1, floor), (width - 1, floor)], "dim")
    for row, text in ((0, top), (floor - 1, bottom)):
        raster.text(left - 1 - len(text), row, text, "dim")
    raster.text(left + 1, 0, y.name, "dim")
    raster.text(left, height - 1, f"{first}  {x.name}", "dim")
    raster.text(width - len(last), height - 1, last, "dim")
    rows: dict[int, list[Mark]] = {}
    for mark in sorted(marks, key=lambda mark: mark.at[0]):
        rows.setdefault(round((floor - 1) * (1.0 - y.share(mark.at[1]))), []).append(mark)
    for row, own in rows.items():
        least = left + (0 if row else len(y.name) + 2)
        wanted = [left + round((width - left - len(mark.text)) * x.share(mark.at[0])) for mark in own]
        for mark, column in zip(own, _side_by_side(wanted, [len(mark.text) for mark in own], least, width), strict=True):
            raster.text(column, row, mark.text, mark.role)
    return raster.rows()


def _side_by_side(wanted: Sequence[int], sizes: Sequence[int], least: int, end: int) -> list[int]:
    """Where parts of these sizes begin, in their order, as near to where they want to as none covers another from `least` to before `end`."""
    columns, free = [], least
    for column, size in zip(wanted, sizes, strict=True):
        columns.append(max(column, free))
        free = columns[-1] + size
    for at in range(len(columns) - 1, -1, -1):
        columns[at] = min(columns[at], end - sizes[at])
        end = columns[at]
    return columns


def plot(curves: Sequence[Curve], spots: Sequence[Spot], x: Axis, y: Axis, width: int, height: int, glyphs: Glyphs) -> list[Line]:
    """Curves over their axes in `width` by `height` cells, then `spots`, the last on top; the last row holds the marks of `x`."""
    tall = (y.text, y.unit)
    left = max(map(len, tall))
    raster = Raster(width, height, glyphs)
    floor, wide = height - 2, width - left - 1
    raster.line([(left, 0), (left, floor), (width - 1, floor)], "dim")
    for row, text in ((0, y.text), (1, y.unit), (floor, "0")):
        raster.text(left - len(text), row, text, "dim")
    _mark(raster, x, left + 1, wide)

    def cells(points: Points) -> list[tuple[float, float]]:
        return [(left + 1 + wide * across / x.end, floor - floor * up / y.end) for across, up in points if up >= 0]

    for curve in curves:
        raster.curve(cells(curve.points), curve.role, dotted=curve.dotted)

    def mark(under: bool) -> None:
        for spot in spots:
            for across, up in cells([spot.at]) if spot.under == under else ():
                raster.point(min(across, width - 1), max(up, 0), spot.kind, spot.role)

    mark(under=True)
    for curve in curves:
        _name(raster, curve, cells(curve.points), left + 2)
    mark(under=False)
    return raster.rows()


def _mark(raster: Raster, x: Axis, left: int, wide: int) -> None:
    """Round numbers below the axis, the unit behind the first, none over another."""
    step = round_step(x.end / x.one, max(wide // _MARK_CELLS, 1))
    mark, free = 0.0, 0
    while mark * x.one <= x.end:
        text = f"{mark:g}" + (f" {x.unit}" if mark == 0 else "")
        at = min(left + round(wide * mark * x.one / x.end), raster.width - len(text))
        if at >= free:
            raster.text(at, raster.height - 1, text, "dim")
            free = at + len(text) + 1
        mark += step


def _name(raster: Raster, curve: Curve, cells: Points, left: int) -> None:
    """The curve's name beside where it is highest: below the start of one that falls, left of the end of one that rises."""
    if not cells:
        return
    (_, y), (end, top) = cells[0], cells[-1]
    if y < top:
        raster.text(left, min(int(y) + 2, raster.height - 3), curve.name, curve.role)
    else:
        raster.text(max(int(end) - len(curve.name) - 2, left), max(int(top), 0), curve.name, curve.role)
