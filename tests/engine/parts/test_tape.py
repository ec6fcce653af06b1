"""Lengths on a tape."""

from __future__ import annotations

import pytest

from engine.parts.tape import on_tape, read_length, tape_text, units_of
from engine.units import parse

INCH = 0.0254


@pytest.mark.parametrize(
    ("metres", "units", "text"),
    [
        (1.2044, "metric", "1204 mm"), (0.0004, "metric", "0 mm"), (-0.012, "metric", "-12 mm"),
        (47.3125 * INCH, "imperial", "3ft 11 5/16in"), (60 * INCH, "imperial", "5ft"), (11.97 * INCH, "imperial", "1ft"),
        (0.125 * INCH, "imperial", "1/8in"), (0.0, "imperial", "0in"), (24.5 * INCH, "imperial", "2ft 1/2in"),
    ],
)  # fmt: skip
def test_a_length_reads_as_on_a_tape(metres, units, text):
    assert tape_text(metres, units) == text


@pytest.mark.parametrize("units", ["metric", "imperial"])
@pytest.mark.parametrize("metres", [0.0571, 0.3, 1.2345, 2.9999])
def test_what_is_read_off_is_what_is_cut(units, metres):
    cut = on_tape(metres, units)
    assert abs(cut - metres) <= INCH / 32 and parse(tape_text(cut, units), "length").si == pytest.approx(cut, abs=1e-9)


def test_the_units_typed_most_are_shown():
    assert units_of(["1.2 m", "440mm"]) == "metric" and units_of(["3ft 2in", '6"', "1 m"]) == "imperial"


@pytest.mark.parametrize("text", ["0 m", "-1 m", "101 m", "1.2", "two", ""])
def test_what_is_no_length_to_cut_is_refused(text):
    with pytest.raises(ValueError, match=r"wanted"):
        read_length(text)
