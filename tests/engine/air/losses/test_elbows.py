"""Elbows against SMACNA, HVAC Systems Duct Design, 4th ed., Table A-7 (read in the source), and a library's formulas."""

from __future__ import annotations

from math import nextafter, pi, radians

import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.air.losses.elbows import mitred, mitred_reynolds_factor, segmented, smooth
from engine.air.losses.friction import colebrook

RIGHT = radians(90)
SMOOTH = {0.5: 0.71, 0.75: 0.33, 1.0: 0.22, 1.5: 0.15, 2.0: 0.13, 2.5: 0.12}
# From 130 deg: from memory.
ANGLE_FACTOR = {0: 0.0, 20: 0.31, 30: 0.45, 45: 0.60, 60: 0.78, 75: 0.90, 90: 1.00, 110: 1.13, 130: 1.20, 150: 1.28, 180: 1.40}
SEGMENTED = {
    5: {0.75: 0.46, 1.0: 0.33, 1.5: 0.24, 2.0: 0.19},
    4: {0.75: 0.50, 1.0: 0.37, 1.5: 0.27, 2.0: 0.24},
    3: {0.5: 0.98, 0.75: 0.54, 1.0: 0.42, 1.5: 0.34, 2.0: 0.33},
}
MITRED = {20: 0.08, 30: 0.16, 45: 0.34, 60: 0.55, 75: 0.81, 90: 1.2}
REYNOLDS = {1e4: 1.40, 2e4: 1.26, 3e4: 1.19, 4e4: 1.14, 6e4: 1.09, 8e4: 1.06, 1e5: 1.04, 1.4e5: 1.0}

angles = st.floats(0.0, pi)
ratios = st.floats(0.5, 3.0)


@pytest.mark.parametrize("ratio, expected", SMOOTH.items())
def test_smooth_right_angle(ratio, expected):
    assert smooth(RIGHT, ratio) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("angle, factor", ANGLE_FACTOR.items())
def test_angle_factor(angle, factor):
    for ratio, right in SMOOTH.items():
        assert smooth(radians(angle), ratio) == pytest.approx(factor * right, abs=1e-12)


@pytest.mark.parametrize("gores, ratio, expected", [(g, r, c) for g, row in SEGMENTED.items() for r, c in row.items()])
def test_segmented_right_angle(gores, ratio, expected):
    assert segmented(RIGHT, ratio, gores) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("angle, expected", MITRED.items())
def test_mitred(angle, expected):
    assert mitred(radians(angle)) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("reynolds, factor", REYNOLDS.items())
def test_reynolds_factor_of_mitred(reynolds, factor):
    assert mitred_reynolds_factor(reynolds)[0] == pytest.approx(factor, abs=1e-12)


def test_reynolds_factor_holds_beyond_its_table_and_has_its_slope():
    assert mitred_reynolds_factor(0.0) == (1.40, 0.0) and mitred_reynolds_factor(1e7) == (1.0, 0.0)
    low, high = mitred_reynolds_factor(24_000.0), mitred_reynolds_factor(25_000.0)
    assert (high[0] - low[0]) / 1000.0 == pytest.approx(low[1], rel=1e-9)


def test_two_mitred_45s_beat_one_mitred_90_but_two_smooth_ones_do_not():
    """The first is what the trade says (no source); the table bears it out and denies it of smooth elbows."""
    assert 2 * mitred(radians(45)) < mitred(RIGHT)
    assert 2 * smooth(radians(45), 1.5) > smooth(RIGHT, 1.5)


def test_a_library_of_fluid_flow_agrees_within_the_scatter_of_elbow_data():
    """fluids.bend_rounded by Rennels includes the bend's own friction: 90 deg, 1.5 bores, 150 mm, Re 2e5, within 30 %."""
    friction = colebrook(2e5, 5e-4)[0]
    theirs = fluids.bend_rounded(0.15, 90, friction, rc=0.225, Re=2e5, method="Rennels")
    assert smooth(RIGHT, 1.5) + friction * pi / 2 * 1.5 == pytest.approx(theirs, rel=0.3)


@given(ratios, angles, angles)
def test_turning_more_never_costs_less(ratio, one, other):
    low, high = sorted((one, other))
    for law in (lambda a: smooth(a, ratio), lambda a: segmented(a, ratio, 4), mitred):
        assert law(low) <= law(high)
        assert law(min(pi, low + 1e-9)) == pytest.approx(law(low), abs=1e-8)
        assert law(0.0) == 0.0


@given(angles, ratios, ratios)
def test_turning_more_tightly_never_costs_less(angle, one, other):
    low, high = sorted((one, other))
    for law in (smooth, lambda a, r: segmented(a, r, 3), lambda a, r: segmented(a, r, 4), lambda a, r: segmented(a, r, 5)):
        assert law(angle, low) >= law(angle, high) - 1e-12


@given(angles, ratios)
def test_more_pieces_come_nearer_to_the_smooth_elbow(angle, ratio):
    three, four, five = (segmented(angle, ratio, gores) for gores in (3, 4, 5))
    assert three >= four >= five >= smooth(angle, ratio)
    assert segmented(angle, ratio, 7) == five


@given(st.sampled_from([3, 4, 5]), st.sampled_from([0.5, 0.75, 1.0, 1.5, 2.0]))
def test_segmented_has_no_step_at_the_ends_of_its_table(gores, ratio):
    below, above = (segmented(RIGHT, nextafter(ratio, far), gores) for far in (0.0, 9.0))
    assert below == pytest.approx(above, abs=1e-9)


def test_beyond_the_table_of_mitred_elbows_the_angle_counts_in_proportion():
    assert mitred(pi) == pytest.approx(2.4)


@pytest.mark.parametrize("call", [
    lambda: smooth(-0.1, 1.5), lambda: smooth(3.2, 1.5), lambda: smooth(1.0, 0.0), lambda: smooth(1.0, float("nan")),
    lambda: segmented(1.0, 1.5, 2), lambda: segmented(float("nan"), 1.5, 5), lambda: mitred(-1.0),
])  # fmt: skip
def test_nonsense_is_refused(call):
    with pytest.raises(ValueError, match="wanted"):
        call()
