"""Newton's steps by themselves: what a network makes of one that goes too far."""

from __future__ import annotations

import pytest

from engine.air.losses.friction import colebrook
from engine.air.one import newton
from engine.air.one.balance import solve
from engine.air.one.live import evaluate
from engine.air.one.network import compile_tree
from engine.design import Leakage
from tests.shops.small_shops import machine, run, shop


@pytest.mark.parametrize("share", [0.3, 0.1, 0.03])
def test_a_step_that_goes_too_far_is_halved_until_it_helps(share):
    """From flows too small by so much the tangent leads far beyond the balance: losses go with the square of the flow."""
    runs = [run("main", "collector", 160, 4.0)]
    runs += [run(name, "main", 100, length, as_="branch", ends=f"{name}/hood") for name, length in (("saw", 3.0), ("planer", 9.0))]
    tree = compile_tree(shop(*runs, machines=[machine("saw", 100), machine("planer", 100)]))
    live, balanced = newton.settle(tree, tree.leaf_of.values(), {}, colebrook)
    state = evaluate(tree.fan, live, [share * flow for flow in balanced.q], colebrook)
    step = newton._step(live, state)
    whole = evaluate(tree.fan, live, newton._stepped(live, state.q, step, 1.0), colebrook)
    assert whole.worst > state.worst > newton._shortened(tree, live, state, step, colebrook, 0.0).worst


def test_a_balance_near_by_is_where_the_steps_start(monkeypatch):
    """Walls that leak among the flows; the answer itself wants no step."""
    runs = [run("main", "collector", 160, 4.0)]
    runs += [run(name, "main", 100, 3.0, as_="branch", ends=f"{name}/hood") for name in ("saw", "planer")]
    tree = compile_tree(shop(*runs, machines=[machine("saw", 100), machine("planer", 100)], leakage=Leakage(tightness="A")))
    found = solve(tree, tree.leaf_of)
    monkeypatch.setattr(newton, "_step", None)
    assert solve(tree, tree.leaf_of, near=found).flows == found.flows
