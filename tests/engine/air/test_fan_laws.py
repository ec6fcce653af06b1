"""The fan laws against a published example."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.air.fan_laws import scaled

CFM, IN_WATER, HORSEPOWER = 0.3048**3 / 60, 249.089, 745.7


def test_a_published_fan_in_another_size_speed_and_air():
    """Fox and McDonald, Introduction to Fluid Mechanics, example 10.11."""
    flow, pressure, power = scaled(30_000 * CFM, 2.96 * IN_WATER, 21.4 * HORSEPOWER, diameter=42 / 36, speed=1150 / 600, density=0.045 / 0.075)
    assert flow / CFM == pytest.approx(91_308, rel=1e-3)
    assert pressure / IN_WATER == pytest.approx(8.88, rel=1e-3)
    assert power / HORSEPOWER == pytest.approx(195.4, rel=1e-3)


@given(st.floats(0.3, 3.0), st.floats(0.3, 3.0), st.floats(0.5, 1.5))
def test_the_fan_laws_keep_efficiency(diameter, speed, density):
    flow, pressure, power = scaled(0.4, 1500.0, 900.0, diameter=diameter, speed=speed, density=density)
    assert flow * pressure / power == pytest.approx(0.4 * 1500.0 / 900.0)
