"""Blast gates against a handbook table known from memory, and what a gate must do between its points."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.air.losses.gates import open_gate, throttled

# Slide gate in a round duct by share of height open: Idelchik, section 9 (from memory).
SLIDE = {0.125: 97.8, 0.2: 35, 0.3: 10, 0.4: 4.6, 0.5: 2.06, 0.6: 0.98, 0.7: 0.44, 0.8: 0.17, 0.9: 0.06, 1.0: 0.0}

fractions = st.floats(0.02, 1.0)


@pytest.mark.parametrize("fraction, expected", SLIDE.items())
def test_slide_gate(fraction, expected):
    assert throttled(fraction) == pytest.approx(expected + open_gate(), rel=1e-9)


def test_open_gate_is_within_what_the_trade_says():
    """0.05 to 0.2 velocity pressures with its slot: common practice, no source."""
    assert 0.05 <= open_gate() <= 0.2
    assert throttled(1.0) == pytest.approx(open_gate())


@given(fractions, fractions)
def test_closing_costs_more_and_never_steps(one, other):
    low, high = sorted((one, other))
    assert throttled(low) >= throttled(high)
    assert throttled(min(1.0, low * (1 + 1e-9))) == pytest.approx(throttled(low), rel=1e-7)


def test_a_nearly_shut_gate_goes_with_its_open_area():
    """A low segment's area is as its height^1.5, and the loss as 1/area^2: half the height costs eight times."""
    assert throttled(0.05) == pytest.approx(8 * throttled(0.1))


@pytest.mark.parametrize("fraction", [0.0, -0.1, 1.01, float("nan")])
def test_a_shut_gate_and_nonsense_are_refused(fraction):
    with pytest.raises(ValueError, match="wanted"):
        throttled(fraction)
