"""A need given as a range: judged by its middle, and both ends told. The shop is invented."""

from __future__ import annotations

import pytest

from engine.air.band import Band, share_band
from engine.checks.assess import assess
from engine.files.design_file import loads
from engine.report.assessment import as_json, as_text
from engine.units import parse
from engine.units.ranges import parse_range, range_text
from tests.shops import two_drops

RANGED = two_drops.TEXT.replace('needs = "820 m3/h"', 'needs = "1200 m3/h to 2000 m3/h"')
MIDDLE = two_drops.TEXT.replace('needs = "820 m3/h"', 'needs = "1600 m3/h"')


def test_a_range_is_judged_by_its_middle_and_both_its_ends_are_told():
    ranged, middle = assess(loads(RANGED)), assess(loads(MIDDLE))
    assert as_json(ranged).split('"findings"')[0] == as_json(middle).split('"findings"')[0]
    starved, plain = ([one for one in all_.findings if one.code == "starved-machine"] for all_ in (ranged, middle))
    assert [(one.where, one.severity) for one in starved] == [(one.where, one.severity) for one in plain] and starved
    told = [one.message + (", the middle of 1200 to 2000 m3/h" if one.where == "planer/hood" else "") for one in plain]
    assert [one.message for one in starved] == told
    assert "judged by 1600 m3/h, the middle of 1200 to 2000 m3/h" in as_text(ranged) and "judged by" not in as_text(middle)


def test_a_range_is_told_in_the_units_of_the_design():
    assert range_text(parse_range("350-450 cfm", "flow"), "flow", "imperial") == "350 to 450 cfm"
    assert range_text(parse("400 cfm", "flow"), "flow", "imperial") == "400 cfm"


def test_a_range_of_needs_widens_the_band_of_the_share():
    """Flow 0.8 of 0.75 to 1.25, its band 0.06 either way: 80 % of the middle, up by hypot(6, 80 / 3), down by hypot(6, 80 / 5)."""
    needs = parse_range("0.75 m3/s to 1.25 m3/s", "flow")
    band = Band(0.74, 0.86)
    assert share_band(band, 0.8, needs) == (pytest.approx((0.06**2 + (0.8 / 3) ** 2) ** 0.5), pytest.approx((0.06**2 + 0.16**2) ** 0.5))
    assert share_band(band, 0.8, parse("1 m3/s", "flow")) == (pytest.approx(0.06), pytest.approx(0.06))
