"""Static suction along a run, against what the balance says of its ends and against sums made by hand."""

from __future__ import annotations

import pytest

from engine import load
from engine.air.along import Gauge, length_of
from engine.air.many.solving import flows_of
from engine.air.one.asks import Ask
from engine.air.one.balance import NONE_THROTTLED, solve, velocity_pressure
from engine.air.one.network import compile_tree, ports_for
from engine.design import gate_sets_of
from tests import SAVED_DESIGNS


@pytest.fixture(scope="module", params=["boat_shed", "signal_box"])
def solved(request):
    """Every gate set of a demo: its balance, and the gauge that is put to its flows."""
    design = load(SAVED_DESIGNS / f"{request.param}.toml")
    tree = compile_tree(design)
    found = []
    for gate_set in gate_sets_of(design):
        throttled = {throttle.gate: throttle.open for throttle in gate_set.throttle}
        ask = Ask(tree, ports_for(tree, gate_set.open), throttled)
        found.append((solve(tree, ask.open_ports, throttled=throttled), Gauge(ask, flows_of([ask])[0])))
    return tree, found


def test_the_ends_of_every_run_are_as_the_balance_has_them(solved):
    tree, found = solved
    for balance, gauge in found:
        for duct in tree.runs:
            state, near, far = balance.runs[duct.run], gauge.along(duct.run, 0.0), gauge.along(duct.run, length_of(duct))
            assert near.suction == pytest.approx(state.suction_near, abs=0.05)
            assert far.suction == pytest.approx(state.suction_far, abs=0.05)
            assert near.flow == pytest.approx(state.flow, abs=1e-6)


def test_ports_are_as_the_balance_has_them(solved):
    _, found = solved
    for balance, gauge in found:
        for port, state in balance.ports.items():
            assert gauge.port(port).suction == pytest.approx(state.suction, abs=0.05)


def test_the_inlet_holds_what_the_collector_supplies_and_the_moving_air(solved):
    tree, found = solved
    for balance, gauge in found:
        first = tree.runs[tree.children[-1][0]]
        assert gauge.inlet.flow == pytest.approx(balance.flow, abs=1e-6)
        taper = first.joint_square * balance.flow**2
        assert gauge.inlet.suction == pytest.approx(
            balance.collector_pressure - taper + velocity_pressure(balance.flow, first.near_bore, tree.air.density), abs=0.05
        )


def test_suction_falls_along_straight_pipe_as_friction_does(solved):
    """Half of a straight costs half of its friction."""
    tree, found = solved
    balance, gauge = found[0]
    drawing = max(tree.runs, key=lambda duct: balance.runs[duct.run].flow * (len(duct.parts) > 0 and duct.parts[0].length > 0.5))
    gone = 0.0
    for part in drawing.parts:
        if part.length > 0.5:
            ends = [gauge.along(drawing.run, at).suction for at in (gone + 0.001, gone + part.length / 2, gone + part.length - 0.001)]
            assert ends[0] > ends[1] > ends[2] and ends[0] - ends[1] == pytest.approx(ends[1] - ends[2], rel=0.02)
            return
        gone += part.length
    raise AssertionError("no straight to measure in")


def test_nothing_draws_behind_a_shut_gate(solved):
    tree, _ = solved
    flows = [0.0] * (len(tree.ducts) + 1)
    gauge = Gauge(Ask(tree, (), NONE_THROTTLED), flows)
    for port, gates in tree.gates_to.items():
        duct = tree.runs[tree.leaf_of[port]]
        if set(gates) & set(duct.gates):
            assert gauge.along(duct.run, 0.0).suction == pytest.approx(tree.fan.shut_off) or set(gates) - set(duct.gates)
            assert gauge.along(duct.run, length_of(duct)).suction == 0.0
