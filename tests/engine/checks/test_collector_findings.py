"""What is found of the collector and its curve."""

from __future__ import annotations

import pytest

from engine.checks.assess import assess
from engine.design import Collector, CollectorLoss, Elbow
from tests.engine.checks.test_checks import codes, plain
from tests.shops.small_shops import collector, machine, q, run, shop, si


def test_past_curve_on_both_sides():
    beyond = shop(run("d", "collector", 160, 1.0, ends="saw/hood"), machines=[machine("saw", 160)], curve=((0.0, 2400.0), (0.2, 2300.0)))
    before = shop(run("d", "collector", 160, 200.0, ends="saw/hood"), machines=[machine("saw", 160)], curve=((0.6, 900.0), (0.8, 0.0)))
    assert "past-curve" in codes(beyond, "collector") and "past-curve" in codes(before, "collector")


def test_past_curve_begins_where_the_curve_ends():
    """Along a straight line the working point is the same wherever the curve that is given ends."""

    def line(low, high):
        curve = tuple((flow, 2400.0 - 2000.0 * flow) for flow in (low, high))
        return shop(run("d", "collector", 160, 1.0, ends="saw/hood"), machines=[machine("saw", 160)], curve=curve)

    flow = assess(line(0.0, 1.0)).sets[0].balance.flow
    for low, high, told in ((0.0, 1.001, False), (0.0, 0.999, True), (0.999, 1.5, False), (1.001, 1.5, True)):
        assert ("past-curve" in codes(line(low * flow, high * flow), "collector")) is told, (low, high)


def test_a_collector_that_draws_nothing_is_told():
    loss = CollectorLoss(name="blocked", drop=si(5000.0), at=si(0.1), law="linear")
    weak = shop(
        run("d", "collector", 160, 1.0, ends="saw/hood"),
        machines=[machine("saw", 160)],
        collector=collector(((0.0, 0.0), (0.5, 1.0)), losses=(loss,)),
    )
    assert codes(weak, "collector")["too-weak"] == "fault"
    assert "too-weak" not in codes(plain())


def test_a_rising_curve_is_told():
    peaked = ((0.0, 500.0), (0.3, 2500.0), (0.6, 0.0))
    long = shop(run("d", "collector", 80, 40.0, ends="saw/hood"), machines=[machine("saw", 80, loss=4.0)], collector=collector(peaked, inlet=0.08))
    assert codes(long, "collector")["rising-curve"] == "caution"


@pytest.mark.parametrize(("straight", "swirl", "severity"), [(0.9, None, "caution"), (1.0, None, None), (0.2, 0.1, None)])
def test_inlet_elbow_within_six_bores_unless_allowed_for(straight, swirl, severity):
    pieces = (straight, Elbow(angle=q("90 deg", "angle")), 2.0)
    design = shop(run("d", "collector", 160, *pieces, ends="saw/hood"), machines=[machine("saw", 160)], collector=collector(swirl=swirl))
    assert codes(design, "d").get("inlet-elbow") == severity


def test_free_air_only():
    guess = Collector(inlet=si(0.16), free_air=si(0.7), max_suction=si(2400.0))
    assert (
        codes(shop(run("d", "collector", 160, 1.0, ends="saw/hood"), machines=[machine("saw", 160)], collector=guess))["free-air-only"] == "caution"
    )


@pytest.mark.parametrize(
    ("curve", "severity"),
    [
        (((0.0, 2400.0), (0.7, 0.0)), "caution"),
        (((0.0, 2400.0), (0.4, 1700.0), (0.7, 0.0)), None),
        (((0.02, 2400.0), (0.7, 0.0)), None),
        (((0.0, 2400.0), (0.7, 100.0)), None),
    ],
)
def test_a_curve_of_its_two_ends_alone_was_not_measured(curve, severity):
    design = shop(run("d", "collector", 160, 1.0, ends="saw/hood"), machines=[machine("saw", 160)], collector=collector(curve))
    assert codes(design).get("straight-curve") == severity
