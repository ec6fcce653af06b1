"""What is said in a breath: how it falls into words and figures."""

from __future__ import annotations

import pytest

from engine.design.typed import BadValue
from engine.survey.breath import LONGEST, sizes_of, spot_apart, words_of


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("saw 2.4, 3.1", ["saw", "2.4", "3.1"]),
        ("saw 2.4 3.1", ["saw", "2.4", "3.1"]),
        ("saw 2.4,3.1", ["saw", "2.4", "3.1"]),
        ("saw 2,4 3,1", ["saw", "2,4", "3,1"]),
        ("0.5,3,1", ["0.5", "3", "1"]),
        ("2,3,1", ["2", "3", "1"]),
        ("saw 2,4; 3,1", ["saw", "2,4", "3,1"]),
        ("saw 12ft 6in, 5 m", ["saw", "12ft 6in", "5 m"]),
        ("saw 12ft 6in 8ft", ["saw", "12ft 6in", "8ft"]),
        ("3 1/2 in 4", ["3 1/2 in", "4"]),
        ("saw 2 m 3 m 820 m3/h", ["saw", "2 m", "3 m", "820 m3/h"]),
        ("saw 2, 3 1.2 x 0.7", ["saw", "2", "3", "1.2 x 0.7"]),
        ("12ft 6in by 8ft", ["12ft 6in by 8ft"]),
        ("saw 2, 3 350-450 cfm", ["saw", "2", "3", "350-450 cfm"]),
        ("350 cfm to 450 cfm", ["350 cfm to 450 cfm"]),
    ],
)
def test_a_figure_keeps_its_unit_its_inches_and_its_other_end(text, words):
    assert words_of(text) == words


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("2,3", ["2", "3"]), ("saw 2,3 120 820", ["saw", "2", "3", "120", "820"]), ("2,4 3,1", ["2,4", "3,1"]), ("2 m, 3,1 m", ["2 m", "3,1 m"]),
        ("saw", ["saw"]), ("saw 2,4; 3", ["saw", "2,4", "3"]),
    ],
)  # fmt: skip
def test_a_comma_stands_between_east_and_north_only_where_nothing_else_does(text, words):
    assert spot_apart(text) == words


@pytest.mark.parametrize(
    ("text", "sizes"),
    [("7 x 4", ["7", "4"]), ("7x4", ["7", "4"]), ("1.1 by 0.6 x 0.9", ["1.1", "0.6", "0.9"]), ("7,5 x 4,5", ["7,5", "4,5"])],
)
def test_sizes_stand_with_an_x_between(text, sizes):
    assert sizes_of(text) == sizes


def test_what_is_too_long_for_a_breath_is_refused():
    with pytest.raises(BadValue, match="at most"):
        words_of("1 " * LONGEST)
