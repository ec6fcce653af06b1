"""Lines of text with roles: what the panes are made of before anything is drawn.

A line is a tuple of (text, role) spans; `tui.draw.theme` gives a role its style.
Widths are in terminal cells. Text of the user's own is never read as markup
and never reaches the terminal with control characters in it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from textwrap import wrap

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment

from tui.draw.glyphs import Glyphs

Span = tuple[str, str]
Line = tuple[Span, ...]
# Cells below which nothing of a text's end is kept.
_APART = 10


def line(*parts: str | Span) -> Line:
    """A line of spans; a bare string gets the role "text", empty ones are dropped."""
    spans = ((part, "text") if isinstance(part, str) else part for part in parts)
    return tuple((text, role) for text, role in spans if text)


def width_of(spans: Iterable[Span]) -> int:
    """Width of a line in cells."""
    return sum(cell_len(text) for text, _ in spans)


def text_of(spans: Iterable[Span]) -> str:
    """The line's text without its roles."""
    return "".join(text for text, _ in spans)


def cut(text: str, width: int, glyphs: Glyphs) -> str:
    """The text, shortened to `width` cells with a mark at the cut."""
    if cell_len(text) <= width:
        return text
    if width <= 0:
        return ""
    return set_cell_size(text, width - 1).rstrip() + glyphs.cut


def cut_apart(text: str, others: Iterable[str], width: int, glyphs: Glyphs) -> str:
    """As `cut`, but where another text would look the same, with the mark in its middle: twins of long names are told apart by their ends."""
    shown = cut(text, width, glyphs)
    if shown == text or width < _APART or all(other == text or cut(other, width, glyphs) != shown for other in others):
        return shown
    end, tail = "", text
    while cell_len(end) < (width - 1) // 2:
        end, tail = tail[-1] + end, tail[:-1]
    return cut(text, width - cell_len(end), glyphs) + end


def fit(spans: Line, width: int, role: str = "text") -> Line:
    """The line cut or padded to `width` cells exactly."""
    fitted: list[Span] = []
    left = width
    for text, span_role in spans:
        size = min(cell_len(text), left)
        kept = text if cell_len(text) <= left else set_cell_size(text, left)
        if kept:
            fitted.append((kept, span_role))
        left -= size
    if left:
        fitted.append((" " * left, role))
    return tuple(fitted)


def between(spans: Line, start: int, end: int) -> Line:
    """The cells of a line from `start` to before `end`; beyond its end it is empty."""
    parts: list[Span] = []
    for text, role in fit(spans, end):
        size = cell_len(text)
        if start < size:
            parts.append((Segment(text).split_cells(start)[1].text if start else text, role))
        start = max(start - size, 0)
    return tuple(parts)


def spread(left: Line, right: Line, width: int, glyphs: Glyphs) -> Line:
    """`left` and `right` at the two ends of `width` cells; the left one is shortened if it must be."""
    room = width - width_of(right)
    if width_of(left) > room:
        left = shorten(left, max(room - 1, 0), glyphs)
    gap = room - width_of(left)
    return (*left, (" " * gap, "text"), *right) if gap > 0 else (*left, *right)


def shorten(spans: Line, width: int, glyphs: Glyphs) -> Line:
    """The line cut to at most `width` cells, with a mark where it was cut."""
    if width_of(spans) <= width:
        return spans
    kept = list(fit(spans, max(width - 1, 0)))
    return (*kept, (glyphs.cut, kept[-1][1] if kept else "text")) if width else ()


def restyle(spans: Line, role: str) -> Line:
    """Every span with `role` added to its own."""
    return tuple((text, role if own == "text" else f"{own} {role}") for text, own in spans)


def wrapped(text: str, width: int, role: str = "text") -> list[Line]:
    """The text broken at words into lines of at most `width` cells."""
    return [((piece, role),) for piece in _wrap_cells(text, max(width, 1))]


def wrapped_to(text: str, width: int, lines: int, glyphs: Glyphs, role: str = "text") -> list[Line]:
    """The text broken at words into at most `lines` lines, the last one cut where that is not all."""
    pieces = _wrap_cells(text, max(width, 1))
    if len(pieces) > lines:
        pieces = (*pieces[: lines - 1], cut(" ".join(pieces[lines - 1 :]), width, glyphs))
    return [((piece, role),) for piece in pieces]


def packed(parts: Iterable[str], width: int, role: str = "text") -> list[Line]:
    """Parts with ", " between, as many a line of at most `width` cells as fit; one that is longer is broken at words."""
    rows: list[str] = []
    for part in parts:
        joined = f"{rows[-1]}, {part}" if rows else part
        if rows and cell_len(joined) <= width:
            rows[-1] = joined
        else:
            rows.append(part)
    return [line for row in rows for line in wrapped(row, width, role)]


def side_by_side(parts: Iterable[Line], width: int, glyphs: Glyphs, gap: int = 3) -> list[Line]:
    """Parts side by side while they fit in `width`, else on a line of their own."""
    lines: list[list[Span]] = []
    for part in parts:
        if lines and width_of(lines[-1]) + gap + width_of(part) <= width:
            lines[-1] += [(" " * gap, "text"), *part]
        else:
            lines.append(list(shorten(part, width, glyphs)))
    return [tuple(spans) for spans in lines]


@lru_cache(maxsize=2048)
def _wrap_cells(text: str, width: int) -> tuple[str, ...]:
    """Kept: most of what a pane shows says after an edit what it said before."""
    if cell_len(text) == len(text):
        return tuple(wrap(text, width))
    pieces: list[str] = []
    for word in text.split():
        joined = f"{pieces[-1]} {word}" if pieces else word
        if pieces and cell_len(joined) <= width:
            pieces[-1] = joined
        else:
            pieces.extend(_chunks(word, width))
    return tuple(pieces)


def _chunks(word: str, width: int) -> Iterator[str]:
    while cell_len(word) > width:
        head = set_cell_size(word, width).rstrip()
        yield head
        word = word[len(head) :]
    yield word
