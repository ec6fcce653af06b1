"""Ports whose suction was measured, against worked problems of ventilation practice."""

from __future__ import annotations

from math import pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.air.losses.ports import loss_from_suction

DENSITY = 1.2014  # US standard air, 0.075 lb/ft3
INCH_OF_WATER = 249.089


def flow_of(velocity_pressure: float, bore: float) -> float:
    """Flow, m3/s, whose velocity pressure in a bore [m] is so many inches of water."""
    return sqrt(2.0 * velocity_pressure * INCH_OF_WATER / DENSITY) * pi * bore**2 / 4.0


@pytest.mark.parametrize("velocity_pressure, suction, of_entry, to", [(3.2, 3.47, 0.96, 0.002), (0.4, 0.8, 0.707, 0.001)])
def test_loss_from_the_suction_behind_a_hood(velocity_pressure, suction, of_entry, to):
    """Ventilation course problems (read in the source): VP 3.2 and SPh 3.47 have Ce 0.96; VP 0.4 and SPh 0.8 have Ce 0.707. Ce = (1 + C)^-1/2."""
    loss = loss_from_suction(suction * INCH_OF_WATER, flow_of(velocity_pressure, 0.1), 0.1, DENSITY)
    assert (1.0 + loss) ** -0.5 == pytest.approx(of_entry, rel=to)


@given(st.floats(0.0, 20.0), st.floats(0.01, 0.5), st.floats(0.04, 0.2), st.floats(0.9, 1.3))
def test_a_measured_suction_gives_back_the_loss_it_came_from(loss, flow, bore, density):
    velocity_pressure = density / 2 * (4 * flow / (pi * bore**2)) ** 2
    assert loss_from_suction((1 + loss) * velocity_pressure, flow, bore, density) == pytest.approx(loss, abs=1e-9)


def test_a_suction_below_one_velocity_pressure_counts_as_no_loss():
    assert loss_from_suction(1.0, 0.2, 0.1, 1.2) == 0.0


@pytest.mark.parametrize("flow, bore, density", [(0.0, 0.1, 1.2), (0.2, 0.0, 1.2), (0.2, 0.1, 0.0), (float("nan"), 0.1, 1.2)])
def test_nonsense_is_refused(flow, bore, density):
    with pytest.raises(ValueError, match="want"):
        loss_from_suction(100.0, flow, bore, density)
