"""Newton's steps by themselves: what a network makes of one that goes too far."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from engine.air.losses.friction import colebrook
from engine.air.one import newton
from engine.air.one.balance import solve, solve_again
from engine.air.one.live import evaluate
from engine.air.one.network import changed_runs, compile_tree
from engine.design import Leakage, Straight
from tests.shops.random_shops import random_design, random_ports
from tests.shops.small_shops import machine, run, shop, si


@pytest.mark.parametrize("share", [0.3, 0.1, 0.03])
def test_a_step_that_goes_too_far_is_halved_until_it_helps(share):
    """From flows too small by so much the tangent leads far beyond the balance: losses go with the square of the flow."""
    runs = [run("main", "collector", 160, 4.0)]
    runs += [run(name, "main", 100, length, as_="branch", ends=f"{name}/hood") for name, length in (("saw", 3.0), ("planer", 9.0))]
    tree = compile_tree(shop(*runs, machines=[machine("saw", 100), machine("planer", 100)]))
    live, balanced = newton.settle(tree, tree.leaf_of.values(), {}, colebrook)
    state = evaluate(tree.fan, live, [share * flow for flow in balanced.q], colebrook)
    step = newton._step(live, state)
    whole = evaluate(tree.fan, live, newton._stepped(live, state, step, 1.0), colebrook)
    assert whole.worst > state.worst > newton._shortened(tree, live, state, step, colebrook, 0.0).worst


def test_a_balance_near_by_is_where_the_steps_start(monkeypatch):
    """Walls that leak among the flows; the answer itself wants no step."""
    runs = [run("main", "collector", 160, 4.0)]
    runs += [run(name, "main", 100, 3.0, as_="branch", ends=f"{name}/hood") for name in ("saw", "planer")]
    tree = compile_tree(shop(*runs, machines=[machine("saw", 100), machine("planer", 100)], leakage=Leakage(tightness="A")))
    found = solve(tree, tree.leaf_of)
    monkeypatch.setattr(newton, "_step", None)
    assert solve(tree, tree.leaf_of, near=found).flows == found.flows


def left(balance):
    """What is out of balance, Pa, looked at with nothing taken from the steps."""
    return evaluate(balance.tree.fan, balance.live, balance.settled.q, colebrook).worst


@pytest.mark.parametrize("seed", range(12))
def test_a_step_that_is_not_looked_at_leaves_what_it_tells(seed):
    """Anew, and from balance to balance while pipes are cut to other lengths: a ten-thousandth of what a path may be out by, at most."""
    random = Random(seed)
    design = random_design(random, most_ports=12, plausible=seed % 2 == 1)
    ports, tree, balance = random_ports(random, design), None, None
    for _ in range(6):
        before, tree = tree, compile_tree(design, before=tree)
        anew = solve(tree, ports)
        again = solve_again(balance, tree, changed_runs(tree, before)) if balance else None
        assert not balance or (again is None) == bool(balance.blown_back or not tree.fan.falls)
        balance = again or anew
        assert balance.flows == pytest.approx(anew.flows, rel=1e-7, abs=1e-12)
        for found in (balance, anew):
            assert left(found) <= max(found.imbalance, 1e-4 * newton.PRESSURE_TOLERANCE)
        at = random.randrange(len(design.runs))
        pieces = [
            replace(piece, length=si(random.uniform(0.8, 1.3) * piece.length.si)) if isinstance(piece, Straight) else piece
            for piece in design.runs[at].pieces
        ]
        design = replace(design, runs=(*design.runs[:at], replace(design.runs[at], pieces=tuple(pieces)), *design.runs[at + 1 :]))


def test_walls_that_leak_are_not_solved_again_by_halves():
    """An end that was held shut may draw after a change: all ends are asked about anew."""
    runs = [run("main", "collector", 160, 4.0), run("saw", "main", 100, 3.0, as_="branch", ends="saw/hood")]
    tight, leaky = (compile_tree(shop(*runs, machines=[machine("saw", 100)], leakage=Leakage(tightness=told))) for told in (None, "A"))
    assert solve_again(solve(tight, tight.leaf_of), tight, [0]) is not None
    assert solve_again(solve(leaky, leaky.leaf_of), leaky, [0]) is None
