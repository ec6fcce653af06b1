"""Points of a curve as text: lines pasted, or one line with ";" between."""

from __future__ import annotations

import pytest

from engine.design.places import COLLECTOR, CURVE
from engine.design.rules.consistency import mistakes
from engine.design.typed import BadValue
from tests.shops import two_drops
from tui.work.fields.fields import fields
from tui.work.fields.points import lines_of, read_points, text_of_points
from tui.work.fields.values import changed, read

WANTED = [("0 m3/h", "2400 Pa"), ("1000 m3/h", "2150 Pa"), ("2600 m3/h", "0 Pa")]


def texts(points):
    return [(point.flow.text, point.pressure.text) for point in points]


@pytest.mark.parametrize(
    "text",
    [
        "0 2400\n1000 2150\n2600 0", "2600 0\n0 2400\n\n1000 2150\n", "flow pressure\n0 2400\n1000 2150\n2600 0", "0; 2400\n1000; 2150\n2600; 0",
        "0\t2400\r\n1000\t2150\r\n2600\t0", "0 2400; 1000 2150; 2600 0", "0 m3/h 2400 Pa; 1000 2150 Pa;2600 m3/h, 0;",
    ],
)  # fmt: skip
def test_points_are_read_from_lines_and_from_one_line(text):
    assert texts(read_points(text, "metric")) == WANTED


def test_a_point_with_a_semicolon_within_is_one_point():
    assert lines_of("1000; 2150") == ["1000; 2150"]
    assert texts(read_points("1000; 2150", "metric")) == [("1000 m3/h", "2150 Pa")]


def test_numbers_take_the_units_shown_and_may_be_computed():
    assert texts(read_points("600 8\n2 x 400 cfm 6 inH2O", "imperial")) == [("600 cfm", "8 inH2O"), ("800 cfm", "6 inH2O")]


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("0 2400\n1000 21x\n2600 0", "line 2: "), ("0 2400\nabc\n2600", "line 2: .*nor will line 3 do"), ("0 2400; 1000 kg; 2600 0", "point 2: "),
        ("0 2400\n0 2300", "line 2: there is a point at 0 m3/h already"), ("0 99999\n1 2", "line 1: wanted 0 Pa to 30000 Pa"),
        ("1 2\n" * 101, "101 lines: wanted at most 100"), ("1,200 2000\n3 4", "line 1: .*may mean 1200 or 1.200"),
    ],
)  # fmt: skip
def test_lines_that_will_not_do_are_named(text, reason):
    with pytest.raises(BadValue, match=reason):
        read_points(text, "metric")


@pytest.mark.parametrize("text", [two_drops.FULL, two_drops.FREE_AIR], ids=["curve", "free air"])
def test_the_curve_has_one_field_whose_text_reads_back(text):
    design = two_drops.design(text)
    (field,) = fields(design, CURVE)
    assert field.text == text_of_points(design.collector.curve)
    if field.text:
        assert read(field, field.text, "metric") == design.collector.curve
    after, place = changed(design, field, read(field, "0 2000; 900 1500; 1800 0", "metric"))
    assert mistakes(after) == () and len(after.collector.curve) == 3 and after.collector.free_air is None and place == COLLECTOR
