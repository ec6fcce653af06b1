"""What is sent of a changed row leaves the terminal with the whole of it."""

from __future__ import annotations

import pyte
from hypothesis import given
from hypothesis import strategies as st
from rich.segment import Segment
from textual.strip import Strip

from tui.draw.line_view import _differing
from tui.draw.lines import fit

WIDTH = 24
letters = st.lists(st.sampled_from([*"abe :é", "漢", "e\u0301", "\u0301"]), max_size=20).map("".join)
lines = st.lists(st.tuples(letters, st.sampled_from(["text", "dim"])), max_size=3).map(tuple)


def strip(line):
    return Strip([Segment(text) for text, _ in fit(line, WIDTH)], WIDTH)


def drawn(screen, line, first=0, end=WIDTH):
    screen.cursor_position(1, first + 1)
    screen.draw(strip(line).crop(first, end).text)
    return screen.display


@given(lines, lines)
def test_a_row_drawn_where_it_differs_is_the_row_drawn_whole(old, new):
    changed, whole = (pyte.Screen(WIDTH + 2, 1) for _ in range(2))
    drawn(changed, old)
    if old != new:
        for first, end in _differing(old, new, WIDTH):
            drawn(changed, new, first, end)
    if [text for text, _ in fit(old, WIDTH)] != [text for text, _ in fit(new, WIDTH)]:
        assert changed.display == drawn(whole, new)


def test_a_row_whose_letter_gets_an_accent_is_drawn_whole():
    assert _differing((("design: e", "text"),), (("design: e\u0301", "text"),), WIDTH) == [(0, WIDTH)]
