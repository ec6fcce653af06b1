"""A widget that shows lines of spans and sends only what changed of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise, zip_longest
from typing import Protocol, cast

from rich.cells import get_character_cell_size
from rich.segment import Segment
from textual.geometry import Region, Size
from textual.strip import Strip
from textual.widget import Widget

from engine.units.printable import printable
from tui.draw.lines import Line, between, fit, width_of
from tui.draw.theme import role_style

# Cells that stay as they are between two changes of a row for which a second move of the cursor is cheaper.
_WORTH_SPLITTING = 12


class Painter(Protocol):
    """What the screens of the session are to their widgets."""

    def paint_anew(self, widget: Widget, parts: Iterable[Region], /) -> None:
        """Have parts of a widget painted."""


class LineView(Widget):
    """Lines of (text, role) spans, drawn as they are: nothing in them is markup."""

    def __init__(self) -> None:
        super().__init__()
        self._lines: list[Line] = []

    @property
    def size(self) -> Size:
        """Its width and height: nothing stands around it that would have to be taken off."""
        return self.outer_size

    def show(self, lines: Sequence[Line]) -> None:
        """Show these lines from the top; only rows that differ from those shown are drawn, from where they differ to where they last do."""
        before, self._lines = self._lines, list(lines)
        width = self.size.width
        if not width or not self.is_on_screen:  # what it shows when it comes back must not be what it last showed
            self.refresh()
            return
        regions = [
            Region(first, y, end - first, 1)
            for y, (old, new) in enumerate(zip_longest(before, self._lines, fillvalue=()))
            if old != new
            for first, end in _differing(old, new, width)
        ]
        if regions:
            cast(Painter, self.screen).paint_anew(self, regions)

    def render_lines(self, crop: Region) -> list[Strip]:
        """Parts of rows to paint. They stand as they are drawn: no border, padding or background is put around or behind them."""
        strips = [self._part(y, crop.x, crop.right) for y in crop.line_range]
        for dimmed in self.get_line_filters():
            strips = [strip.apply_filter(dimmed, self.background_colors[1]) for strip in strips]
        return strips

    def render_line(self, y: int) -> Strip:
        """One row of the widget."""
        return self._part(y, 0, self.size.width)

    def _part(self, y: int, start: int, end: int) -> Strip:
        """The cells of a row from `start` to before `end`."""
        spans = between(self._lines[y] if y < len(self._lines) else (), start, end)
        theme = self.app.theme
        return Strip([Segment(text, role_style(theme, role)) for text, role in _merged(spans)], end - start)


def _merged(spans: Line) -> list[tuple[str, str]]:
    """Neighbouring spans of one role as one, their text safe to print."""
    merged: list[tuple[str, str]] = []
    for text, role in spans:
        before = merged.pop()[0] if merged and merged[-1][1] == role else ""
        merged.append((before + text, role))
    return [(printable(text), role) for text, role in merged]


def _differing(old: Line, new: Line, width: int) -> list[tuple[int, int]]:
    """From the first cell that differs to behind the last, in two parts where much between is the same; none where none differs.

    All of a row whose signs are not all one cell wide: what they join with is the terminal's to know.
    """
    alike = next((i for i, (one, other) in enumerate(zip(old, new, strict=False)) if one != other), min(len(old), len(new)))
    if not (_has_a_cell_each(old[alike:]) and _has_a_cell_each(new[alike:])):
        return [(0, width)]
    start = width_of(old[:alike])
    was, now = (fit(line[alike:], max(width - start, 0)) for line in (old, new))
    differing = [at for at, (one, other) in enumerate(zip(_cells(was), _cells(now), strict=False), start) if one != other]
    if not differing:
        return []
    gap, at = max(((after - before, i) for i, (before, after) in enumerate(pairwise(differing), 1)), default=(0, 0))
    ends = (0, at, len(differing)) if gap > _WORTH_SPLITTING else (0, len(differing))
    return [(differing[first], differing[last - 1] + 1) for first, last in pairwise(ends)]


def _cells(spans: Line) -> list[tuple[str, str]]:
    """A (character, role) for each cell."""
    return [(letter, role) for text, role in spans for letter in text]


def _has_a_cell_each(spans: Line) -> bool:
    """Whether every character takes one cell."""
    return all((text.isascii() and text.isprintable()) or all(get_character_cell_size(letter) == 1 for letter in text) for text, _ in spans)
