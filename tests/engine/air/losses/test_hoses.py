"""Flexible hose: its friction against the field's formula, its slack and its bends."""

from __future__ import annotations

from math import pi, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine import catalog
from engine.air.losses import elbows, hoses
from engine.air.losses.friction import colebrook


@pytest.mark.parametrize("bore_in", [3, 4, 5, 6])
@pytest.mark.parametrize("fpm", [3500, 4000, 4500])
def test_stretched_hose_by_loeffler(bore_in, fpm):
    """Hf = 0.0311 V^0.604 / Q^0.639 velocity pressures per ft, flexible wire-covered duct (read at second hand): within 10 %."""
    cfm = pi / 4 * (bore_in / 12) ** 2 * fpm
    field = 0.0311 * fpm**0.604 / cfm**0.639
    bore, speed = bore_in * 0.0254, fpm * 0.00508
    factor, _ = colebrook(1.2014 * speed * bore / 1.8134e-5, catalog.roughness("flexible hose").value / bore)
    assert factor * 0.3048 / bore == pytest.approx(field, rel=0.10)


def test_compressed_hose_by_published_abstracts():
    """About 4 times at moderate compression, near 10 times beyond (from memory)."""
    assert hoses.compression_factor(0.15, 0.2) == pytest.approx(4, rel=0.2)
    assert hoses.compression_factor(0.30, 0.15) == pytest.approx(10, rel=0.2)
    assert hoses.compression_factor(0.0, 0.1) == 1.0


@pytest.mark.parametrize(("per_cent", "mm", "factor"), [(4, 150, 2.1025), (15, 200, 4.2263), (30, 250, 6.0353)])
def test_compressed_hose_by_the_published_formula(per_cent, mm, factor):
    """1 + 0.58 r exp(-0.00496 D) in its own units, per cent and mm, worked out by hand: published for flexible duct, from memory."""
    assert hoses.compression_factor(per_cent / 100, mm / 1000) == pytest.approx(factor, abs=1e-4)


@given(st.floats(0.0, 0.5), st.floats(0.0, 0.5), st.floats(0.03, 0.3))
def test_more_slack_costs_more_and_a_wide_hose_less(one, other, bore):
    low, high = sorted((one, other))
    assert hoses.compression_factor(low, bore) <= hoses.compression_factor(high, bore)
    assert hoses.compression_factor(high, bore * 1.2) <= hoses.compression_factor(high, bore)
    assert hoses.compression_factor(0.9, bore) == hoses.compression_factor(0.5, bore)


def test_a_bend_is_a_smooth_elbow_of_one_bore_and_right_angles_add_up():
    right = elbows.smooth(pi / 2, 1.0)
    assert hoses.bend(radians(45)) == elbows.smooth(radians(45), 1.0)
    assert hoses.bend(radians(270)) == pytest.approx(3 * right)
    assert hoses.bend(radians(135)) == pytest.approx(right + elbows.smooth(radians(45), 1.0))
    assert hoses.bend(0.0) == 0.0


@given(st.floats(0.0, 4 * pi), st.floats(0.0, 4 * pi))
def test_bending_more_costs_more_and_never_steps(one, other):
    low, high = sorted((one, other))
    assert hoses.bend(low) <= hoses.bend(high) + 1e-12
    assert hoses.bend(low + 1e-9) == pytest.approx(hoses.bend(low), abs=1e-8)


@pytest.mark.parametrize("call", [
    lambda: hoses.bend(-0.1), lambda: hoses.compression_factor(-0.1, 0.1), lambda: hoses.compression_factor(0.1, -0.1),
])  # fmt: skip
def test_nonsense_is_refused(call):
    with pytest.raises(ValueError, match="wanted"):
        call()
