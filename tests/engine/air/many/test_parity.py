"""One gate set and many at once: the same joints, the same losses, the same steps, the same flows, whatever the network.

The laws are written twice, in plain floats and in arrays; here each is held
against the other. Networks are invented.
"""

from __future__ import annotations

from itertools import combinations
from math import pi

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from engine.air import live, newton
from engine.air.balance import solve
from engine.air.losses import junctions
from engine.air.losses.friction import colebrook
from engine.air.many import losses as many_losses
from engine.air.many import newton as many_newton
from engine.air.network import compile_tree
from engine.design import Gate, Leakage
from tests.shops.small_shops import machine, run, shop, si

LAWS = (colebrook, junctions.momentum)
# Known coefficients; below nothing the faster stream drags the slower.
KNOWN = st.one_of(st.none(), st.floats(-0.8, 3.0))
FLOWS = st.one_of(st.just(0.0), st.floats(1e-4, 3.0))

legs = st.builds(
    junctions.Leg, kind=st.sampled_from(["straight", "branch", "leg"]), area=st.floats(1e-3, 0.3), angle=st.floats(0.0, pi / 2), coefficient=KNOWN
)
joints = st.builds(
    junctions.Joint, density=st.floats(0.8, 1.4), combined_area=st.floats(1e-3, 0.3), legs=st.lists(legs, min_size=1, max_size=5).map(tuple)
)


@given(joint=joints, data=st.data())
def test_joints_cost_the_same(joint, data):
    """Losses and Jacobian, idle legs among the others and coefficients below nothing."""
    flows = np.array([data.draw(st.lists(FLOWS, min_size=4, max_size=4)) for _ in joint.legs])
    losses, jacobian = many_losses.momentum(joint, flows)
    for column, of_set in enumerate(flows.T):
        loss, slopes = junctions.momentum(joint, list(of_set))
        total = of_set.sum()
        dynamic = joint.scale * max(1.0, *(terms.own for terms in joint.terms))
        assert [one[column] for one in losses] == pytest.approx(loss, rel=1e-9, abs=1e-9 * dynamic * total**2 + 1e-12)
        if total:
            found = [[one[column] for one in row] for row in jacobian]
            assert found == [pytest.approx(row, rel=1e-9, abs=1e-9 * dynamic * total) for row in slopes]


@st.composite
def networks(draw):
    """Branches on a main of one to four stretches: any bores that narrow outward, any angles and lengths, known coefficients here and there."""
    bores = (80, 100, 125, 140, 160, 200)
    count = draw(st.integers(1, 4))
    wide = draw(st.sampled_from(bores[3:]))
    runs, machines, parent = [], [], "collector"
    for i in range(count):
        on = {"loss": draw(KNOWN)} if i else {}
        runs.append(run(f"main {i}", parent, wide, draw(st.floats(0.3, 8.0)), **on))
        parent = f"main {i}"
        bore = draw(st.sampled_from([one for one in bores if one <= wide]))
        angle, length = si(draw(st.floats(0.2, pi / 2))), draw(st.floats(0.3, 12.0))
        runs.append(run(f"drop {i}", parent, bore, Gate(name=f"gate {i}"), length, as_="branch", angle=angle, loss=draw(KNOWN), ends=f"m{i}/hood"))
        machines.append(machine(f"m{i}", bore, loss=draw(st.floats(0.2, 4.0))))
    runs.append(run("last", parent, wide, Gate(name="last gate"), draw(st.floats(0.3, 8.0)), loss=draw(KNOWN), ends="last/hood"))
    machines.append(machine("last", wide, loss=draw(st.floats(0.2, 4.0))))
    leakage = Leakage(tightness=draw(st.sampled_from([None, "A", "C"])))
    return compile_tree(shop(*runs, machines=machines, leakage=leakage))


def every_set(tree):
    """The ports of every gate set, and its open outer ends, those of walls among them, (ducts, sets)."""
    ports = list(tree.leaf_of)
    chosen = [some for size in range(1, len(ports) + 1) for some in combinations(ports, size)]
    ends = np.zeros((len(tree.ducts), len(chosen)), bool)
    for column, some in enumerate(chosen):
        ends[[tree.leaf_of[port] for port in some], column] = True
        opened = {gate for port in some for gate in tree.gates_to[port]}
        ends[tree.leak_positions, column] = [opened.issuperset(leak.behind) for leak in tree.leaks]
    return chosen, ends


@settings(max_examples=60)
@given(tree=networks())
def test_networks_settle_at_the_same_flows(tree):
    chosen, ends = every_set(tree)
    settled = many_newton.settle(tree, many_newton.ways_of(tree, ends))
    assert settled.balanced.any()
    for column in np.flatnonzero(settled.balanced):
        balance = solve(tree, chosen[column])
        assert not balance.blown_back
        assert settled.flows[:, column] == pytest.approx(balance.flows, rel=1e-7, abs=1e-12)


@settings(max_examples=60)
@given(tree=networks(), data=st.data())
def test_any_flows_cost_the_same_and_call_for_the_same_step(tree, data):
    chosen, ends = every_set(tree)
    ways = many_newton.ways_of(tree, ends)
    drawn = {end: data.draw(st.floats(0.01, 0.5)) for end in tree.leaf_of.values()}
    drawn |= {leak: data.draw(st.floats(1e-4, 0.05)) for leak in tree.leak_positions}
    flows = np.zeros(ways.alive.shape)
    for end, column in zip(*np.nonzero(ends), strict=True):
        flows[[*tree.inward(end), -1], column] += drawn[end]
    together = many_newton.evaluate(tree, ways, flows)
    with np.errstate(all="ignore"):
        steps = many_newton._step(tree, ways, together)
    for column in range(len(chosen)):
        part = live.live_part(tree, np.flatnonzero(ends[:, column]).tolist(), {})
        index = list(part.index)
        state = live.evaluate(tree.fan, part, list(flows[index, column]), LAWS)
        for one, many in ((state.h, together.h), (state.g, together.g), (state.j, together.j)):
            assert many[index, column] == pytest.approx(one, rel=1e-9, abs=1e-9 * max(1.0, *map(abs, one)))
        assert together.worst[column] == pytest.approx(state.worst, rel=1e-9)
        step = newton._step(part, state)
        # A tangent network that is all but without an answer has no step to compare.
        assume(step is not None and max(map(abs, step)) < 100.0)
        assert steps[index, column] == pytest.approx(step, rel=1e-6, abs=1e-6 * max(map(abs, step)))
