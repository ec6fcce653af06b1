"""Quantities given as a range."""

import pytest

from engine.units import UnitError, parse
from engine.units.ranges import Range, ends, parse_range

CFM = parse("1 cfm", "flow").si


@pytest.mark.parametrize("text", ["350 cfm to 450 cfm", "350 to 450 cfm", "350-450 cfm", "350 - 450 cfm", "350 cfm – 450 cfm", " 350  TO 450 cfm"])
def test_a_range_is_read_in_any_way_it_is_written(text):
    found = parse_range(text, "flow")
    assert isinstance(found, Range)
    assert (found.low, found.si, found.high) == pytest.approx((350 * CFM, 400 * CFM, 450 * CFM))
    assert parse_range(found.text, "flow") == found


def test_one_quantity_is_no_range():
    assert parse_range("400 cfm", "flow") == parse("400 cfm", "flow")
    assert ends(parse("1 m3/s", "flow")) == (1.0,)
    assert parse_range("2e-05 m3/s to 1 m3/s", "flow").si == pytest.approx(0.50001)


@pytest.mark.parametrize(
    "text", ["450 cfm to 350 cfm", "350 cfm to 350 cfm", "350 to 450", "350 cfm to", "to 450 cfm", "350 cfm to 450 Pa", "a-b cfm"]
)
def test_what_is_no_range_is_refused(text):
    with pytest.raises(UnitError):
        parse_range(text, "flow")
