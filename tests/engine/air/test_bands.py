"""The band around each flow, against cases that can be worked by hand."""

from __future__ import annotations

from math import hypot

import pytest

from engine import load
from engine.air.balance import solve
from engine.air.bands import band, doubts
from engine.checks.assess import assess
from engine.design import Elbow
from tests.shops.small_shops import collector, machine, q, run, shop

CURVE = ((0.0, 2000.0), (0.5, 1000.0), (1.0, 0.0))


def one_machine(*pieces, loss=3.0):
    return shop(run("r", "collector", 160, *pieces, ends="m/hood"), machines=[machine("m", 160, loss=loss)], collector=collector(CURVE))


def widths(design):
    result = assess(design)
    return result, band(doubts(design, result.tree), result.sets[0])


def test_without_length_or_fittings_only_port_and_fan_are_in_doubt():
    """Two doubts left: each moved by hand, their shares added as root of squares (GUM, 5.1.2)."""
    design = one_machine(0.001)
    _result, found = widths(design)
    by_hand = []
    for low, high in ((0.9, 1.1),):
        flows = [assess(one_machine(0.001, loss=3.0 * factor)).sets[0].balance.flow for factor in (low, high)]
        by_hand.append((flows[0] - flows[1]) / 2)
    fans = [collector([(flow, factor * pressure) for flow, pressure in CURVE]) for factor in (0.95, 1.05)]
    flows = [assess(shop(*design.runs, machines=design.machines, collector=fan)).sets[0].balance.flow for fan in fans]
    by_hand.append((flows[0] - flows[1]) / 2)
    assert found["m/hood"] == pytest.approx(hypot(*by_hand), rel=1e-3)


def test_elbows_and_roughness_widen_the_band():
    bend = Elbow(angle=q("90 deg", "angle"))
    result, whole = widths(one_machine(20.0, *[bend] * 6))
    fittings, joints, roughness, ports, fan = doubts(result.design, result.tree)
    for left_out in ((joints, roughness, ports, fan), (fittings, joints, ports, fan)):
        assert band(left_out, result.sets[0])["m/hood"] < 0.995 * whole["m/hood"]
    assert band((joints,), result.sets[0])["m/hood"] == pytest.approx(0.0, abs=1e-9)


def test_bands_of_the_demos_are_plausible():
    """A few per cent, never nothing: the spans are of 5 to 30 % on what makes up the losses."""
    design = load("saved_designs/boat_shed.toml")
    result = assess(design)
    sides = doubts(design, result.tree)
    for answer in result.sets:
        found = band(sides, answer)
        assert set(found) == set(answer.balance.ports)
        for port, width in found.items():
            assert 0.01 < width / answer.balance.ports[port].flow < 0.2


def test_every_side_is_a_network_of_its_own_that_balances():
    result, _ = widths(one_machine(5.0, Elbow(angle=q("90 deg", "angle"))))
    flows = {solve(side, ["m/hood"]).flow for pair in doubts(result.design, result.tree) for side in pair}
    assert len(flows) >= 8
