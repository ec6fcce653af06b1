"""A collector to choose from in a line: what is understood, what comes back, what will not do. Figures are invented."""

from __future__ import annotations

from math import pi

import pytest

from engine.design.typed import BadValue
from engine.survey.answers import blank
from tui.work.fields.choice_lines import choice_text, example_of_choice, read_choice, with_choice


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_what_a_line_says_is_kept_and_comes_back(units):
    made = read_choice(f"{example_of_choice(units)}; fan static; test duct 150 mm; filter area 12 m^2; density 1.15 kg/m^3", units)
    assert (made.id, made.basis, made.price, made.test_duct.text, made.filter_area.text) == ("big drum", "fan static", 890, "150 mm", "12 m^2")
    assert len(made.curve) == 3 and made.density.si == pytest.approx(1.15)
    assert read_choice(choice_text(made), units) == made


def test_free_air_and_largest_suction_do_where_there_is_no_curve():
    made = read_choice("small one: free air 1500; max suction 1,8 kPa", "metric")
    assert (made.free_air.text, made.max_suction.text, made.curve) == ("1500 m3/h", "1,8 kPa", ())


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "wanted its name, a colon"), ("drum 0 2000", "wanted its name, a colon"), (": 0 2000; 100 0", "wanted its name"),
        ("drum: 0 2000", "two points"), ("drum: free air 1500", "free air and max suction"), ("drum: 0 2000; 100 0; inlet", "is empty"),
        ("drum: 0 2000; red 5", "point 2"), ("x" * 90 + ": 0 2; 1 0", "characters"), ("drum: 0 2000; 100 0; price cheap", "wanted"),
    ],
)  # fmt: skip
def test_what_will_not_do_is_one_line(text, reason):
    with pytest.raises(BadValue, match=reason) as refusal:
        read_choice(text, "metric")
    assert "\n" not in str(refusal.value)


def test_a_name_is_given_once_and_a_line_takes_the_place_of_its_own():
    design = with_choice(blank().shop, 0, "drum: 0 2000; 1000 0")
    assert with_choice(design, 0, "drum: 0 2500; 1000 0").collector_choices[0].curve[0].pressure.si == 2500
    with pytest.raises(BadValue, match="a drum already"):
        with_choice(design, 1, "drum: 0 2500; 1000 0")


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_the_example_is_of_a_collector_that_can_be(units):
    """At its last point the suction is more than the velocity pressure of that flow in its inlet, by Bernoulli."""
    made = read_choice(example_of_choice(units), units)
    speed = made.curve[-1].flow.si / (pi * made.inlet.si**2 / 4)
    assert made.curve[-1].pressure.si > 1.2 * speed**2 / 2
