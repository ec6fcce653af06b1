"""Changes of bore against SMACNA, HVAC Systems Duct Design, 4th ed., Tables A-8A and A-9A, and a library's formulas."""

from __future__ import annotations

from itertools import pairwise
from math import pi, radians, sqrt

import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.air.losses.tapers import _ABRUPT, taper

# Table A-8A at Re 2e5 (read in the source): area ratio -> included angle -> coefficient.
WIDENING = {
    2: {16: 0.07, 20: 0.12, 30: 0.23, 45: 0.28, 60: 0.27, 90: 0.27},
    4: {16: 0.15, 20: 0.18, 30: 0.36, 45: 0.55, 60: 0.59, 90: 0.59},
}
# Table A-9A: the span printed at each included angle over the area ratios 2 to 10 (read in the source).
NARROWING = {10: (0.05, 0.05), 40: (0.05, 0.05), 60: (0.06, 0.07), 90: (0.12, 0.19), 120: (0.18, 0.29), 180: (0.26, 0.43)}

bores = st.floats(0.04, 0.4)
angles = st.floats(0.02, pi)


@pytest.mark.parametrize("ratio, angle, expected", [(r, a, c) for r, row in WIDENING.items() for a, c in row.items()])
def test_widening(ratio, angle, expected):
    assert taper(0.1, 0.1 * sqrt(ratio), radians(angle)) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("angle, span", NARROWING.items())
def test_narrowing(angle, span):
    low, high = span
    coefficients = [taper(0.1 * sqrt(ratio), 0.1, radians(angle)) for ratio in (2, 3, 4, 5, 6, 8, 10)]
    assert coefficients[0] == pytest.approx(low, abs=1e-9) and coefficients[-1] == pytest.approx(high, abs=1e-9)
    assert all(a <= b + 1e-12 for a, b in pairwise(coefficients))


@given(bores, bores)
def test_abrupt_widening_is_borda_carnot(one, other):
    small, large = sorted((one, other))
    assert taper(small, large, pi) == pytest.approx((1 - (small / large) ** 2) ** 2, abs=1e-12)


@pytest.mark.parametrize(("ratio", "printed"), [(2, 0.26), (10, 0.43)])
def test_the_printed_abrupt_narrowings_are_half_of_the_area_closed(ratio, printed):
    """The law that the table is read along, of Idelchik's Handbook of Hydraulic Resistance (from memory), and Table A-9A at 180 deg: within 0.02."""
    assert _ABRUPT["narrowing"](ratio) == (1 - 1 / ratio) / 2 == pytest.approx(printed, abs=0.02 + 1e-9)


@pytest.mark.parametrize("ratio", [1.5, 2, 4, 8])
@pytest.mark.parametrize("angle", [20, 30, 45, 60, 90, 180])
def test_a_library_of_fluid_flow_agrees_on_widening(ratio, angle):
    """fluids.diffuser_conical by Crane TP-410: within 0.2, as widely as the printed tables part from it."""
    theirs = fluids.diffuser_conical(0.1, 0.1 * sqrt(ratio), angle=angle, method="Crane")
    assert taper(0.1, 0.1 * sqrt(ratio), radians(angle)) == pytest.approx(theirs, abs=0.2)


@pytest.mark.parametrize("ratio", [1.5, 2, 4, 8])
def test_a_library_of_fluid_flow_agrees_on_abrupt_narrowing(ratio):
    """fluids.contraction_conical by Crane TP-410 at 180 deg, within 0.06."""
    theirs = fluids.contraction_conical(0.1 * sqrt(ratio), 0.1, angle=180, method="Crane")
    assert taper(0.1 * sqrt(ratio), 0.1, pi) == pytest.approx(theirs, abs=0.06)


@given(bores, angles)
def test_equal_bores_lose_nothing(bore, angle):
    assert taper(bore, bore, angle) == 0.0


@given(bores, angles, st.floats(1e-9, 1e-3))
def test_nearly_equal_bores_lose_nearly_nothing(bore, angle, apart):
    for pair in ((bore, bore * (1 + apart)), (bore * (1 + apart), bore)):
        assert 0.0 <= taper(*pair, angle) <= 3 * apart


@given(st.floats(1.01, 4.0), st.floats(1.0, 1.1), angles, st.booleans())
def test_a_larger_step_of_bore_costs_more(ratio, more, angle, widening):
    near, far = ratio, ratio * more
    costs = [taper(0.1, 0.1 * r, angle) if widening else taper(0.1 * r, 0.1, angle) for r in (near, far)]
    assert costs[0] <= costs[1] + 1e-12


@given(st.floats(1.01, 4.0), angles, st.booleans())
def test_no_step_in_angle(ratio, angle, widening):
    pair = (0.1, 0.1 * ratio) if widening else (0.1 * ratio, 0.1)
    assert taper(*pair, min(pi, angle + 1e-7)) == pytest.approx(taper(*pair, angle), abs=1e-6)


def test_a_usual_taper_costs_far_less_than_a_blunt_one():
    for pair in ((0.1, 0.15), (0.15, 0.1)):
        assert taper(*pair, radians(15)) < 0.4 * taper(*pair, pi)


def test_slim_cones_hold_the_tables_smallest_angle():
    assert taper(0.1, 0.15, radians(3)) == taper(0.1, 0.15, radians(16))
    assert taper(0.15, 0.1, radians(3)) == taper(0.15, 0.1, radians(10))


@pytest.mark.parametrize("call", [
    lambda: taper(0.0, 0.1, 0.3), lambda: taper(0.1, 0.0, 0.3), lambda: taper(0.1, -0.1, 0.3), lambda: taper(0.1, 0.2, 0.0),
    lambda: taper(0.1, 0.2, 3.2), lambda: taper(float("nan"), 0.1, 0.3), lambda: taper(0.1, 0.2, float("nan")),
])  # fmt: skip
def test_nonsense_is_refused(call):
    with pytest.raises(ValueError, match="more than 0"):
        call()
