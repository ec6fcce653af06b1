"""Entries against the tables and worked problems of ventilation practice."""

from __future__ import annotations

from math import pi, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.air.losses import ports

# SMACNA, HVAC Systems Duct Design, 4th ed., Table A-12G, round tapered hood (read in the source).
TAPERED_HOOD = {20: 0.11, 40: 0.06, 60: 0.09, 80: 0.14, 100: 0.18, 120: 0.27, 140: 0.32, 160: 0.43, 180: 0.50}


@pytest.mark.parametrize("angle, expected", TAPERED_HOOD.items())
def test_tapered_hood(angle, expected):
    assert ports.tapered_hood(radians(angle)) == pytest.approx(expected, abs=1e-12)


def test_plain_entries():
    """0.93 and 0.49 read in the source (hood entry losses of ventilation practice); bell mouth 0.04 from memory."""
    assert (ports.plain_end(), ports.flanged(), ports.bell_mouth()) == (0.93, 0.49, 0.04)


def test_a_hood_without_taper_is_a_plain_or_a_flanged_end():
    assert ports.tapered_hood(0.0) == ports.plain_end()
    assert ports.tapered_hood(pi) == pytest.approx(ports.flanged(), abs=0.02)


def test_hood_suction_from_the_coefficient_of_entry():
    """Ventilation course problems (read in the source): VP 3.2 and Ce 0.96 give SPh 3.47; VP 0.4 and SPh 0.8 give Ce 0.707."""
    assert ports.hood_suction(3.2, ports.loss_of_entry(0.96)) == pytest.approx(3.47, rel=0.002)
    assert ports.coefficient_of_entry(0.8 / 0.4 - 1) == pytest.approx(0.707, rel=0.002)


@given(st.floats(0.0, 50.0))
def test_loss_and_coefficient_of_entry_are_each_others_inverse(loss):
    assert ports.loss_of_entry(ports.coefficient_of_entry(loss)) == pytest.approx(loss, abs=1e-9)


@given(st.floats(0.0, 20.0), st.floats(0.01, 0.5), st.floats(0.04, 0.2), st.floats(0.9, 1.3))
def test_a_measured_suction_gives_back_the_loss_it_came_from(loss, flow, bore, density):
    velocity_pressure = density / 2 * (4 * flow / (pi * bore**2)) ** 2
    suction = ports.hood_suction(velocity_pressure, loss)
    assert ports.loss_from_suction(suction, flow, bore, density) == pytest.approx(loss, abs=1e-9)


def test_a_suction_below_one_velocity_pressure_counts_as_no_loss():
    assert ports.loss_from_suction(1.0, 0.2, 0.1, 1.2) == 0.0


@pytest.mark.parametrize("call", [
    lambda: ports.tapered_hood(-0.1), lambda: ports.tapered_hood(3.2), lambda: ports.tapered_hood(float("nan")),
    lambda: ports.loss_of_entry(0.0), lambda: ports.loss_of_entry(1.1),
    lambda: ports.loss_from_suction(100.0, 0.0, 0.1, 1.2), lambda: ports.loss_from_suction(100.0, 0.2, 0.0, 1.2),
])  # fmt: skip
def test_nonsense_is_refused(call):
    with pytest.raises(ValueError, match="want"):
        call()
