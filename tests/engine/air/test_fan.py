"""The collector's curve: its bases, densities, own losses, and what holds beyond the given points."""

from __future__ import annotations

from itertools import accumulate
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from engine.air.fan import fan_of
from engine.design import Collector, CollectorLoss
from tests.shops.small_shops import FALLING, collector, si

PEAKED = ((0.0, 1800.0), (0.2, 2100.0), (0.5, 1500.0), (0.7, 300.0))


def loss(drop: float, at: float, law: str | None) -> CollectorLoss:
    return CollectorLoss(name="filter", drop=si(drop), at=si(at), law=law)


def dynamic(flow: float, bore: float, density: float = 1.2) -> float:
    return density / 2 * (flow / (pi * bore**2 / 4)) ** 2


@st.composite
def curves(draw):
    pressures = draw(st.lists(st.floats(0.0, 5000.0), min_size=2, max_size=7))
    flows = list(accumulate(draw(st.lists(st.floats(0.02, 0.4), min_size=len(pressures), max_size=len(pressures)))))
    return tuple(zip(flows, pressures, strict=True))


@given(curves(), st.floats(0.0, 1.0))
def test_the_curve_is_the_monotone_cubic_through_its_points(points, share):
    fan = fan_of(collector(points), 1.2)
    theirs = PchipInterpolator(*zip(*points, strict=True))
    flow = fan.low + share * (fan.high - fan.low)
    assert fan.pressure(flow)[0] == pytest.approx(float(theirs(flow)), rel=1e-9, abs=1e-7)
    assert fan.pressure(flow)[1] == pytest.approx(float(theirs.derivative()(flow)), rel=1e-7, abs=1e-5)


@given(curves(), st.floats(0.0, 3.0), st.sampled_from(["fan static", "inlet suction"]))
def test_the_slope_is_the_derivative(points, flow, basis):
    fan = fan_of(collector(points, basis, losses=(loss(200.0, 0.3, "linear"), loss(90.0, 0.4, "square"))), 1.1)
    if any(abs(flow - x) < 1e-4 for x in fan.curve.xs):
        return
    step = 1e-6
    numeric = (fan.pressure(flow + step)[0] - fan.pressure(flow - step)[0]) / (2 * step)
    assert fan.pressure(flow)[1] == pytest.approx(numeric, rel=1e-4, abs=1.0)


@given(curves(), st.floats(1.0, 3.0))
def test_beyond_its_last_point_the_curve_falls_for_good(points, times):
    fan = fan_of(collector(points), 1.2)
    end, slope = fan.pressure(fan.high)
    beyond, steeper = fan.pressure(fan.high * (1.0 + 1e-9) * times)
    assert steeper < 0.0 and steeper <= slope + 1e-9
    assert beyond <= end + 1e-6
    assert fan.pressure(2.0 * fan.high + 1e-6)[0] <= 1e-3


@pytest.mark.parametrize("points", [FALLING, PEAKED, ((0.1, 900.0), (0.6, 900.0)), ((0.0, 500.0), (0.5, 800.0))])
def test_no_step_at_the_ends_of_the_curve(points):
    fan = fan_of(collector(points), 1.2)
    for end in (fan.low, fan.high):
        assert fan.pressure(end - 1e-9)[0] == pytest.approx(fan.pressure(end + 1e-9)[0], abs=1e-3)


def test_left_of_its_first_point_the_curve_stays_level():
    fan = fan_of(collector(((0.2, 2000.0), (0.5, 1000.0))), 1.2)
    assert fan.pressure(0.05) == (2000.0, 0.0) and fan.shut_off == 2000.0
    assert (fan.low, fan.high) == (0.2, 0.5)


def test_a_peaked_curve_rises_and_falls():
    fan = fan_of(collector(PEAKED), 1.2)
    assert fan.pressure(0.1)[1] > 0.0 > fan.pressure(0.4)[1]
    assert max(fan.pressure(q / 100)[0] for q in range(71)) == pytest.approx(2100.0)


def test_static_suction_measured_in_a_duct_supplies_that_less_its_velocity_pressure():
    """Definition of static, velocity and total pressure."""
    for bore, made in ((0.16, collector(basis="inlet suction")), (0.2, collector(basis="inlet suction", test_duct=si(0.2)))):
        fan = fan_of(made, 1.2)
        for flow, suction in FALLING:
            assert fan.pressure(flow)[0] == pytest.approx(suction - dynamic(flow, bore), abs=1e-9)


def test_inlet_suction_is_the_basis_where_none_is_named():
    assert fan_of(collector(basis=None), 1.2) == fan_of(collector(basis="inlet suction"), 1.2)


def test_fan_total_pressure_loses_the_outlets_velocity_pressure():
    """Fan static pressure is fan total less the outlet's velocity pressure: the definition in fan testing standards."""
    fan = fan_of(collector(basis="fan total", outlet=si(0.14)), 1.2)
    for flow, total in FALLING:
        assert fan.pressure(flow)[0] == pytest.approx(total - dynamic(flow, 0.14), abs=1e-9)


@pytest.mark.parametrize("basis", ["inlet suction", "fan static", "fan total"])
@pytest.mark.parametrize("density", [0.95, 1.0, 1.25])
def test_pressure_goes_with_density(basis, density):
    """Fan law p ~ density at one speed and flow."""
    thin, given_at = fan_of(collector(basis=basis, outlet=si(0.15)), density), fan_of(collector(basis=basis, outlet=si(0.15)), 1.2)
    for flow in (0.0, 0.1, 0.4, 0.9):
        assert thin.pressure(flow)[0] == pytest.approx(given_at.pressure(flow)[0] * density / 1.2, abs=1e-9)


def test_a_curve_at_another_density():
    fan = fan_of(collector(density=si(1.0)), 1.2)
    assert fan.shut_off == pytest.approx(2400.0 * 1.2)


def test_losses_that_the_curve_leaves_out():
    losses = (loss(300.0, 0.4, "linear"), loss(100.0, 0.5, "square"), loss(50.0, 0.25, None))
    bare, laden = fan_of(collector(), 1.2), fan_of(collector(losses=losses), 1.2)
    for flow in (0.0, 0.2, 0.4, 0.8):
        lost = 300.0 * flow / 0.4 + 100.0 * (flow / 0.5) ** 2 + 50.0 * (flow / 0.25) ** 2
        assert bare.pressure(flow)[0] - laden.pressure(flow)[0] == pytest.approx(lost)


@pytest.mark.parametrize(("law", "power"), [("square", 1), ("linear", 0)])
def test_an_inlet_loss_goes_with_density_and_a_filter_with_viscosity(law, power):
    """p = C density/2 v^2 of a cyclone; Darcy's law of a filter has no density (both closed form). Air at 3000 m: 0.9 kg/m3."""
    losses = (loss(400.0, 0.4, law),)
    for at in (0.9, 1.2):
        bare, laden = (fan_of(collector(losses=of), at).pressure(0.4)[0] for of in ((), losses))
        assert bare - laden == pytest.approx(400.0 * (at / 1.2) ** power)


def test_free_air_and_largest_suction_make_an_estimate():
    fan = fan_of(Collector(inlet=si(0.15), free_air=si(0.6), max_suction=si(2000.0)), 1.2)
    assert fan.estimated and not fan_of(collector(), 1.2).estimated
    assert fan.shut_off == 2000.0 and fan.pressure(0.6)[0] == pytest.approx(0.0, abs=1e-9)
    assert fan.pressure(0.3) == pytest.approx((1500.0, -2 * 2000.0 * 0.3 / 0.36))
    assert fan.pressure(0.7)[0] < 0.0
    assert (fan.low, fan.high) == (0.0, 0.6)


@pytest.mark.parametrize("made, word", [
    (Collector(inlet=si(0.16)), "neither"), (collector(((0.1, 5.0),)), "two points"),
    (collector(((0.2, 5.0), (0.1, 4.0))), "rising"), (collector(basis="fan total"), "outlet"),
])  # fmt: skip
def test_what_is_no_curve_is_refused(made, word):
    with pytest.raises(ValueError, match=word):
        fan_of(made, 1.2)
