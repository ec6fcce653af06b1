"""Lines of spans, one line of edited text, and frames."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.units.printable import printable
from tui.draw.glyphs import ASCII, LINE
from tui.draw.lines import between, cut, cut_apart, fit, line, shorten, side_by_side, spread, text_of, width_of, wrapped
from tui.draw.text_edit import TextEdit
from tui.draw.theme import THEMES, role_style
from tui.panes.pane import Content, framed, more_note, window

WORDS = st.text(st.characters(codec="utf-8"), max_size=30)


@given(WORDS, WORDS, st.integers(0, 40))
def test_lines_get_the_width_asked_for(left, right, width):
    spans = line(printable(left), (printable(right), "value"))
    assert width_of(fit(spans, width)) == width
    assert width_of(shorten(spans, width, LINE)) <= width
    if width_of(line(printable(right))) <= width:
        assert width_of(spread(line(printable(left)), line(printable(right)), width, LINE)) == width


@given(WORDS)
def test_nothing_that_moves_the_cursor_reaches_the_terminal(text):
    safe = printable(text)
    assert len(safe) == len(text)
    assert all(letter == "?" or letter.isprintable() for letter in safe if letter not in "\u2028\u2029\xa0" and not letter.isspace())
    assert not set("\x1b\n\r\t\x9b\u202e\x00") & set(safe)


@given(st.text(st.sampled_from("ab 漢字"), max_size=60), st.integers(2, 20))
def test_wrapped_text_loses_no_word(text, width):
    pieces = wrapped(text, width)
    assert all(width_of(piece) <= width for piece in pieces)
    assert "".join("".join(map(text_of, pieces)).split()) == "".join(text.split())


def test_what_is_cut_says_so():
    assert cut("planer drop", 8, LINE) == "planer»"
    assert cut("planer drop", 8, ASCII) == "planer~"
    assert cut("planer", 6, LINE) == "planer"


def test_typing_replaces_what_is_selected():
    edit = TextEdit.of("1.2 m")
    assert edit.insert("2") == TextEdit("2", 1)
    assert edit.key("end").insert("m").text == "1.2 mm"
    assert edit.key("left").insert("0").text == "01.2 m"
    assert edit.key("backspace").text == ""


@pytest.mark.parametrize(
    ("key", "text", "at"),
    [
        ("left", "90 deg", 2), ("right", "90 deg", 4), ("home", "90 deg", 0), ("end", "90 deg", 6),
        ("backspace", "90deg", 2), ("delete", "90 eg", 3), ("ctrl+u", "deg", 0), ("ctrl+k", "90 ", 3), ("ctrl+w", "deg", 0),
    ],
)  # fmt: skip
def test_editing_keys(key, text, at):
    assert TextEdit("90 deg", 3).key(key) == TextEdit(text, at)


def test_a_pasted_line_break_is_not_typed():
    assert TextEdit("", 0).insert("4\n\x1b[2Jft").text == "4[2Jft"


def test_a_long_text_shows_the_part_around_the_cursor():
    shown = text_of(TextEdit("by the door of the shed", 23).shown(10))
    assert shown.endswith("the shed ") and len(shown) <= 10


def test_the_focus_shows_without_colour():
    content = Content(line(" 1 ducts "), [line("main")])
    assert [text_of(row) for row in framed(content, 14, 3, False, LINE)] == ["┌ 1 ducts ───┐", "│main        │", "└────────────┘"]
    assert [text_of(row) for row in framed(content, 14, 3, True, LINE)] == ["╔ 1 ducts ═══╗", "║main        ║", "╚════════════╝"]
    assert [text_of(row) for row in framed(content, 14, 3, True, ASCII)] == ["# 1 ducts ===#", "#main        #", "#============#"]


def test_the_window_moves_as_little_as_it_can():
    assert window(0, 3, 3, 10, 50) == 0
    assert window(0, 12, 12, 10, 50) == 3
    assert window(20, 12, 12, 10, 50) == 12
    assert window(45, 49, 49, 10, 12) == 2
    assert window(0, 5, 30, 10, 50) == 5


def test_a_note_says_that_there_is_more():
    assert more_note(0, 10, 10, 3, LINE) == ""
    assert more_note(0, 10, 12, 3, LINE) == " 4 of 12 ▼ "
    assert more_note(2, 10, 12, 3, ASCII) == " 4 of 12 ^ "


def test_every_theme_knows_every_role():
    roles = ("text", "dim", "value", "frame", "frame-focus", "cursor", "chosen", "field", "edit", "ok", "fault", "caution", "note", "changed")
    for theme in THEMES:
        assert theme.ansi and {"ansi-background", "ansi-foreground"} <= theme.variables.keys()
        assert all(role_style(theme.name, role) is not None for role in roles)
    assert role_style("dark", "fault cursor").reverse


def test_parts_stand_side_by_side_while_they_fit():
    parts = [(("a" * 10, "text"),), (("b" * 10, "text"),), (("c" * 10, "text"),)]
    assert [width_of(line) for line in side_by_side(parts, 25, LINE)] == [23, 10]


def test_twins_of_long_names_are_told_apart_by_their_ends():
    long, twin, other = "main along the north wall, first", "main along the north wall, second", "drop of the band saw"
    shown = [cut_apart(name, (long, twin, other), 15, LINE) for name in (long, twin, other)]
    assert shown == ["main al», first", "main al» second", "drop of the ba»"]
    assert cut_apart(long, (long, twin), 80, LINE) == long


@given(st.lists(st.tuples(st.text("ab─ 木", max_size=6), st.sampled_from(["text", "dim"])), max_size=4), st.integers(0, 20), st.integers(0, 20))
def test_a_part_of_a_line_is_the_line_without_what_stands_beside_it(spans, start, cells):
    whole, part = fit(tuple(spans), start + cells), between(tuple(spans), start, start + cells)
    assert width_of(part) == cells
    if "木" not in text_of(whole):  # of a wide letter that is cut in two a space is left
        assert text_of(part) == text_of(whole)[start:]


@given(st.sampled_from(["left", "backspace", "ctrl+w", "f1", "tab", "a", "space", "ctrl+a"]), st.sampled_from([None, "a", " ", "\t"]))
def test_an_edit_takes_the_keys_that_it_would_carry_out(key, character):
    assert TextEdit("as it was", 3).takes(key, character) is (TextEdit("as it was", 3).typed(key, character) is not None)
