"""The raster: what is drawn comes out as rows of spans, in each glyph set."""

from __future__ import annotations

import pytest

from tui.draw.glyphs import ASCII, FINE, GLYPHS, LINE
from tui.draw.raster import Raster, round_step

CONSOLE = set(" ─│┌┐└┘├┤┬┴┼═║╔╗╚╝╠╣╦╩╬█▀▄▌▐░▒▓▲▼►◄■○•·°±≤≥≈×²½↑↓←→") | {chr(code) for code in range(32, 127)}


def drawn(raster: Raster) -> list[str]:
    return ["".join(text for text, _ in row) for row in raster.rows()]


def test_lines_turn_and_join():
    raster = Raster(5, 3, LINE)
    raster.line([(0, 0), (4, 0), (4, 2), (0, 2), (0, 0)])
    raster.line([(2, 0), (2, 2)])
    assert drawn(raster) == ["┌─┬─┐", "│ │ │", "└─┴─┘"]


def test_the_double_line_shows_where_it_meets_a_single_one():
    raster = Raster(5, 3, LINE)
    raster.line([(2, 2), (2, 1)])
    raster.line([(0, 1), (4, 1)], double=True)
    assert drawn(raster) == ["     ", "══╦══", "  │  "]


def test_a_slanting_line_goes_in_steps_without_a_gap():
    raster = Raster(4, 3, ASCII)
    raster.line([(0, 0), (3, 2)])
    assert drawn(raster) == ["-+  ", " ++ ", "  +-"]


def test_text_covers_lines_and_stays_inside():
    raster = Raster(6, 1, LINE)
    raster.line([(0, 0), (5, 0)])
    raster.text(4, 0, "long", "value")
    raster.text(-1, 0, "ab", "value")
    assert raster.rows() == [(("b", "value"), ("───", "text"), ("lo", "value"))]


@pytest.mark.parametrize("glyphs", GLYPHS.values(), ids=GLYPHS)
def test_a_curve_covers_every_column_and_every_row_it_passes(glyphs):
    raster = Raster(12, 6, glyphs)
    raster.curve([(0, 0.1), (6, 0.2), (8, 5.9), (12, 5.95)])
    rows = drawn(raster)
    assert all(any(row[x] != " " for row in rows) for x in range(12))
    assert all(row.strip() for row in rows)


@pytest.mark.parametrize("dotted", [False, True])
def test_the_console_sets_draw_only_what_a_console_has(dotted):
    for glyphs in (ASCII, LINE):
        raster = Raster(20, 8, glyphs)
        raster.line([(0, 0), (0, 7), (19, 7)], double=True)
        raster.line([(3, 1), (9, 6)])
        raster.curve([(1, 0), (19, 7)], dotted=dotted)
        for at, kind in enumerate(glyphs.marks):
            raster.point(at, 0, kind)
        letters = set("".join(drawn(raster)))
        assert letters <= CONSOLE
        assert glyphs is LINE or max(letters) < "\x7f"


def test_the_fine_set_shows_halves_of_a_cell():
    raster = Raster(2, 1, FINE)
    raster.curve([(0, 0.1), (2, 0.1)])
    assert drawn(raster) == ["⠉⠉"]


@pytest.mark.parametrize(("span", "marks", "step"), [(2600, 4, 1000), (1530, 3, 1000), (0.9, 5, 0.2), (10, 10, 1), (0, 3, 1)])
def test_marks_stand_at_round_numbers(span, marks, step):
    assert round_step(span, marks) == pytest.approx(step)


@pytest.mark.parametrize(("glyphs", "hose", "still", "wall"), [(ASCII, "~", ".", "%"), (LINE, "~", "·", "▒"), (FINE, "~", "·", "▒")])
def test_ground_lies_behind_trails_and_trails_behind_lines(glyphs, hose, still, wall):
    raster = Raster(5, 1, glyphs)
    raster.line([(3, 0), (4, 0)])
    raster.trail([(1, 0), (3, 0)], "hose")
    raster.trail([(2, 0)], "still", "dim")
    raster.ground([(x, 0) for x in range(5)], "wall")
    bar = "-" if glyphs is ASCII else "─"
    assert drawn(raster) == [wall + hose + still + bar * 2]
    assert raster.taken == {(1, 0), (2, 0), (3, 0), (4, 0)} and len(raster.grounded) == 5


def test_a_mark_adds_a_role_and_changes_no_letter():
    raster = Raster(3, 1, LINE)
    raster.text(0, 0, "abc", "value")
    raster.mark([(1, 0)], "cursor")
    assert raster.rows() == [(("a", "value"), ("b", "value cursor"), ("c", "value"))]


def test_lines_that_are_no_kin_cover_each_other_and_kin_join():
    for meets, middle in ((frozenset(), "│"), (frozenset({"below"}), "┼")):
        raster = Raster(3, 3, LINE)
        raster.line([(0, 1), (2, 1)], owner="below")
        raster.line([(1, 0), (1, 2)], owner="above", meets=meets)
        assert drawn(raster)[1] == f"─{middle}─"


def test_a_slant_is_dots_without_a_gap_and_twice_as_wide_where_double():
    counts = []
    for double in (False, True):
        raster = Raster(6, 3, FINE)
        raster.slant((0.2, 0.2), (5.8, 2.8), double=double)
        letters = "".join(drawn(raster))
        assert all(any(row[x] != " " for row in drawn(raster)) for x in range(6))
        counts.append(sum(bin(ord(letter) - 0x2800).count("1") for letter in letters if letter != " "))
    assert counts[1] > 1.5 * counts[0]
