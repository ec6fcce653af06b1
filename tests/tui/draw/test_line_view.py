"""Which cells of a row are sent when it changes: all that differ, and whole rows where signs join or are wide."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tui.draw.line_view import _differing

WIDTH = 24
plain = st.lists(st.tuples(st.text("ab·│ ", max_size=9), st.sampled_from(["text", "value"])), max_size=4).map(tuple)


def cells(line):
    """(letter, role) of each cell of a row of signs that take one each, padded."""
    return ([(letter, role) for text, role in line for letter in text] + [(" ", "text")] * WIDTH)[:WIDTH]


@given(old=plain, new=plain)
def test_what_is_sent_over_a_row_makes_the_new_one(old, new):
    row, made = cells(old), cells(new)
    for first, end in _differing(old, new, WIDTH):
        row[first:end] = made[first:end]
    assert row == made


def test_what_stays_at_both_ends_and_a_long_middle_is_not_sent():
    old, new = (("ab" + 20 * "." + "cd", "text"),), (("aX" + 20 * "." + "Yd", "text"),)
    assert _differing(old, new, WIDTH) == [(1, 2), (22, 23)] and _differing(old, old, WIDTH) == []


def test_a_row_with_signs_that_join_or_are_wide_is_sent_whole():
    for name in ("e\u0301lbow", "漢字", "a\u200db", "\x1bx"):
        for old, new in (("elbow", name), (name, "elbow"), (f"{name}1", f"{name}2")):
            assert _differing(((old, "text"),), ((new, "text"),), WIDTH) == [(0, WIDTH)]
