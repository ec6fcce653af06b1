"""The monotone cubic against scipy's, and what both interpolants promise between and beyond their points."""

from __future__ import annotations

from itertools import accumulate, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from engine.air.interpolation import linear, monotone_cubic, onward

steps = st.floats(0.05, 5.0)
values = st.floats(-100.0, 100.0)


@st.composite
def tables(draw, least=2):
    ys = draw(st.lists(values, min_size=least, max_size=9))
    gaps = draw(st.lists(steps, min_size=len(ys), max_size=len(ys)))
    return list(accumulate(gaps)), ys


@given(tables(), st.floats(0.0, 1.0))
def test_monotone_cubic_is_scipys_pchip(table, share):
    xs, ys = table
    theirs = PchipInterpolator(xs, ys)
    ours = monotone_cubic(xs, ys)
    x = xs[0] + share * (xs[-1] - xs[0])
    value, slope = ours(x)
    assert value == pytest.approx(float(theirs(x)), rel=1e-9, abs=1e-9)
    assert slope == pytest.approx(float(theirs.derivative()(x)), rel=1e-7, abs=1e-7)


@given(tables())
def test_monotone_cubic_keeps_between_neighbouring_points(table):
    xs, ys = table
    curve = monotone_cubic(xs, ys)
    for (x0, x1), (y0, y1) in zip(pairwise(xs), pairwise(ys), strict=True):
        inside = [curve(x0 + (x1 - x0) * i / 16)[0] for i in range(17)]
        rising = 1.0 if y1 >= y0 else -1.0
        assert all((b - a) * rising >= -1e-9 for a, b in pairwise(inside))


def test_monotone_cubic_follows_its_end_tangents():
    curve = monotone_cubic([1.0, 2.0, 4.0], [5.0, 3.0, 2.5])
    for end, outside in ((1.0, 0.5), (4.0, 6.0)):
        value, slope = curve(end)
        assert curve(outside) == pytest.approx((value + slope * (outside - end), slope))


@pytest.mark.parametrize("xs, ys", [([1.0], [2.0]), ([1.0, 1.0], [2.0, 3.0]), ([2.0, 1.0], [0.0, 1.0]), ([1.0, 2.0], [1.0])])
def test_monotone_cubic_refuses_what_is_no_curve(xs, ys):
    with pytest.raises(ValueError, match="two points"):
        monotone_cubic(xs, ys)


@pytest.mark.parametrize(
    "x, expected", [(0.0, (10.0, 0.0)), (1.0, (10.0, 0.0)), (1.5, (15.0, 10.0)), (2.5, (19.0, -2.0)), (3.0, (18.0, 0.0)), (9.0, (18.0, 0.0))]
)
def test_linear_goes_straight_between_points_and_holds_at_the_ends(x, expected):
    assert linear([1.0, 2.0, 3.0], [10.0, 20.0, 18.0], x) == pytest.approx(expected)


def test_onward_goes_on_in_proportion():
    assert onward([1.0, 2.0], [3.0, 5.0], 1.5) == pytest.approx(4.0)
    assert onward([1.0, 2.0], [3.0, 5.0], 6.0) == pytest.approx(15.0)
