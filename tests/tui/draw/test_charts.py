"""Charts: bars and scales cell by cell, curves over their axes."""

from itertools import permutations

import pytest

from tui.draw.charts import Axis, Curve, Mark, Span, Spot, bar, gauge, plot, scatter, shift
from tui.draw.glyphs import ASCII, LINE
from tui.draw.lines import text_of


@pytest.mark.parametrize(("speed", "drawn"), [(0.0, "○────┼──┤ "), (10.0, "├──○─┼──┤ "), (28.0, "├────┼──○ "), (40.0, "├────┼──┤○")])
def test_the_gauge_stands_where_the_speed_is(speed, drawn):
    assert gauge(speed, 18.0, 28.0, 10, LINE) == drawn


def test_bars_have_half_cells():
    assert [bar(share, 4, LINE) for share in (0, 0.1, 0.5, 0.9, 1, 7)] == ["", "▌", "██", "███▌", "████", "████"]
    assert bar(0.9, 4, ASCII) == "###="


def test_a_curve_is_named_where_it_is_highest_and_the_axes_tell_their_ends():
    falling = Curve("fan", [(0.0, 8.0), (2.0, 0.0)], "supply")
    rising = Curve("pipe", [(0.0, 0.0), (2.0, 8.0)], "demand", dotted=True)
    meet = [Spot((1.0, 4.0), "ring", "value")]
    rows = [text_of(row) for row in plot([falling, rising], meet, Axis(2.0, "2", "l", 0.5), Axis(8.0, "8", "Pa", 1.0), 40, 9, ASCII)]
    assert {len(row) for row in rows} == {40}
    assert rows[0].startswith(" 8") and rows[1].startswith("Pa") and rows[7].startswith(" 0")
    assert rows[8].split() == ["0", "l", "1", "2", "3", "4"]
    assert 3 < rows[2].index("fan") < 20 < rows[0].index("pipe")
    assert sum(row.count("o") for row in rows) == 1


def test_a_curve_below_the_axis_is_not_named():
    below = Curve("fan", [(0.0, -1.0), (2.0, -2.0)], "supply")
    rows = plot([below], [], Axis(2.0, "2", "l", 1.0), Axis(8.0, "8", "Pa", 1.0), 30, 6, LINE)
    assert "fan" not in "".join(map(text_of, rows))


def test_marks_stand_between_the_ends_of_their_axes_and_beside_each_other():
    x, y = Span("price", 100.0, 200.0, ("100", "200")), Span("share", 0.9, 1.1, ("90 %", "110 %"))
    marks = [Mark((100.0, 0.9), "1", "cursor"), Mark((200.0, 1.1), "2", "value"), Mark((100.0, 0.9), "3", "value"), Mark((150.0, 1.0), "o", "dim")]
    rows = scatter(marks, x, y, 40, 7, ASCII)
    texts = [text_of(row) for row in rows]
    assert {len(text) for text in texts} == {40} and len(texts) == 7
    assert texts[0].startswith("110 %") and texts[4].startswith(" 90 %") and texts[6].split() == ["100", "price", "200"]
    assert texts[0].endswith("2") and texts[4][6] == "1" and "3" in texts[4][7:10] and texts[2].index("o") == 22
    assert [role for text, role in rows[4] if text == "1"] == ["cursor"]


def test_marks_of_one_row_stand_in_the_order_of_their_values():
    """However near each other they are, and in whichever order they come."""
    x, y = Span("price", 0.0, 10.0, ("0", "10")), Span("neediest", 0.0, 1.0, ("0", "1"))
    values = {"1": 9.9, "2": 9.8, "3": 9.7, "4": 0.0, "5": 9.85}
    for names in permutations("1234"), permutations("1235"):
        for order in names:
            rows = [text_of(row) for row in scatter([Mark((values[name], 0.5), name, "value") for name in order], x, y, 30, 7, LINE)]
            row = next(row for row in rows if "3" in row)
            assert [name for name in row if name in values] == sorted(order, key=values.get)


def test_marks_of_one_value_stand_in_the_middle():
    same = Span("price", 5.0, 5.0, ("5", "5"))
    texts = [text_of(row) for row in scatter([Mark((5.0, 5.0), "1", "value")], same, same, 20, 6, LINE)]
    assert [row for row, text in enumerate(texts) if "1" in text] == [2]


def test_a_shift_marks_what_is_needed_what_was_and_what_is():
    assert shift(0.5, 1.5, 2.0, 21, LINE) == "├────•────┼────○────┤"
    assert shift(1.0, 9.0, 2.0, 21, LINE)[-1] == "○" and shift(1.0, 9.0, 2.0, 21, LINE)[10] == "•"
