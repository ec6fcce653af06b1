"""A widget that shows lines of spans and sends only what changed of them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, zip_longest

from rich.cells import cell_len
from rich.segment import Segment
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from engine.units.printable import printable
from tui.draw.lines import Line, fit
from tui.draw.theme import role_style

# Cells that stay as they are between two changes of a row for which a second move of the cursor is cheaper.
_WORTH_SPLITTING = 12


class LineView(Widget):
    """Lines of (text, role) spans, drawn as they are: nothing in them is markup."""

    def __init__(self) -> None:
        super().__init__()
        self._lines: list[Line] = []

    def show(self, lines: Sequence[Line]) -> None:
        """Show these lines from the top; only rows that differ from those shown are drawn, from where they differ to where they last do."""
        before, self._lines = self._lines, list(lines)
        if not self.size.width or not self.is_on_screen:  # what it shows when it comes back must not be what it last showed
            self.refresh()
            return
        regions = [
            Region(first, y, end - first, 1)
            for y, (old, new) in enumerate(zip_longest(before, self._lines, fillvalue=()))
            if old != new
            for first, end in _differing(old, new, self.size.width)
        ]
        if regions:
            self.refresh(*regions)

    def render_lines(self, crop: Region) -> list[Strip]:
        """Parts of rows to paint. They stand as they are drawn: no border, padding or background is put around or behind them."""
        strips = [self.render_line(y).crop(crop.x, crop.right) for y in crop.line_range]
        for dimmed in self.get_line_filters():
            strips = [strip.apply_filter(dimmed, self.background_colors[1]) for strip in strips]
        return strips

    def render_line(self, y: int) -> Strip:
        """One row of the widget."""
        width = self.size.width
        spans = fit(self._lines[y], width) if y < len(self._lines) else ((" " * width, "text"),)
        theme = self.app.theme
        return Strip([Segment(text, role_style(theme, role)) for text, role in _merged(spans)], width)


def _merged(spans: Line) -> list[tuple[str, str]]:
    """Neighbouring spans of one role as one, their text safe to print."""
    merged: list[tuple[str, str]] = []
    for text, role in spans:
        before = merged.pop()[0] if merged and merged[-1][1] == role else ""
        merged.append((before + text, role))
    return [(printable(text), role) for text, role in merged]


def _differing(old: Line, new: Line, width: int) -> list[tuple[int, int]]:
    """From the first cell that differs to behind the last, in two parts where much between is the same; none where none differs."""
    was, now = fit(old, width), fit(new, width)
    alike = next((i for i, (one, other) in enumerate(zip(was, now, strict=False)) if one != other), min(len(was), len(now)))
    pairs = zip(_cells(was[alike:]), _cells(now[alike:]), strict=False)  # signs that join may count otherwise one by one
    start = len(_cells(was[:alike]))
    differing = [at for at, (one, other) in enumerate(pairs, start) if one != other]
    if not differing:
        return []
    gap, at = max(((after - before, i) for i, (before, after) in enumerate(pairwise(differing), 1)), default=(0, 0))
    ends = (0, at, len(differing)) if gap > _WORTH_SPLITTING else (0, len(differing))
    return [(differing[first], differing[last - 1] + 1) for first, last in pairwise(ends)]


def _cells(spans: Line) -> list[tuple[str, str]]:
    """A (character, role) for each cell; a wide character takes two, both named by it."""
    return [(letter, role) for text, role in spans for letter in (text if text.isascii() and text.isprintable() else _by_cells(text))]


def _by_cells(text: str) -> str:
    """Each character as often as it takes cells."""
    return "".join([letter * cell_len(letter) for letter in text])
