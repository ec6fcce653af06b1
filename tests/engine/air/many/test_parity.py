"""One case and many at once: the same joints, the same losses, the same steps, the same flows, whatever the networks.

The laws are written twice, in plain floats and in arrays; here each is held
against the other. Networks are invented.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from math import pi

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from engine.air.fan import Fan
from engine.air.interpolation import monotone_cubic
from engine.air.losses import junctions
from engine.air.losses.friction import colebrook
from engine.air.many import losses as many_losses
from engine.air.many import newton as many_newton
from engine.air.many.networks import networks_of
from engine.air.many.shape import shape_of
from engine.air.many.solving import cases_of, flows_of
from engine.air.many.supplies import Supplies
from engine.air.one import live, newton
from engine.air.one.asks import Ask
from engine.air.one.balance import outer_ends, solve
from engine.air.one.network import compile_tree
from engine.air.one.newton import NotConverged
from engine.design import Gate, Leakage, Tuned, TunedPort
from engine.units import parse
from tests.shops.small_shops import collector, machine, run, shop, si

# Known coefficients; below nothing the faster stream drags the slower.
KNOWN = st.one_of(st.none(), st.floats(-0.8, 3.0))
FLOWS = st.one_of(st.just(0.0), st.floats(1e-4, 3.0))
BORES = (80, 100, 125, 140, 160, 200)

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
    terms = many_losses.joint_terms([joint], [range(len(joint.legs))], np.zeros((1, 1), np.intp))
    losses, jacobian = many_losses.momentum(terms, list(flows[:, None]))
    for column, of_set in enumerate(flows.T):
        loss, slopes = junctions.momentum(joint, list(of_set))
        total = of_set.sum()
        dynamic = joint.scale * max(1.0, *(terms.own for terms in joint.terms))
        assert [one[0, column] for one in losses] == pytest.approx(loss, rel=1e-9, abs=1e-9 * dynamic * total**2 + 1e-12)
        if total:
            found = [[one[0, column] for one in row] for row in jacobian]
            assert found == [pytest.approx(row, rel=1e-9, abs=1e-9 * dynamic * total) for row in slopes]


@given(data=st.data())
def test_collectors_supply_the_same(data):
    """Of one curve and of others, before, along and beyond their points, and where each meets square losses."""
    fans = []
    for _ in range(data.draw(st.integers(1, 3))):
        falls = data.draw(st.booleans())
        curve = monotone_cubic((0.05, 0.3, 0.6), (2000.0, 1800.0 if falls else 2100.0, 900.0))
        fans += [Fan(curve, -4000.0, data.draw(st.floats(0.5, 1.5)), data.draw(st.floats(0.0, 500.0)), 800.0, False, falls) for _ in range(2)]
    flows = np.array([data.draw(st.sampled_from([0.0, 0.05, 0.2, 0.3, 0.55, 0.6, 1.0])) for _ in fans])
    supplies = Supplies(fans, np.arange(len(fans)))
    assert np.stack(supplies.pressure(flows), axis=1) == pytest.approx(np.array([fan.pressure(q) for fan, q in zip(fans, flows, strict=True)]))
    some = np.arange(0, len(fans), 2)
    assert supplies.of(some).pressure(flows[some])[0] == pytest.approx([fans[i].pressure(flows[i])[0] for i in some])
    resistance = np.full(len(fans), data.draw(st.floats(10.0, 1e6)))
    assert supplies.largest_working_flow(resistance) == pytest.approx([live.largest_working_flow(fan, resistance[0]) for fan in fans], rel=1e-9)


@st.composite
def networks(draw, count=None):
    """Branches on a main of one to four stretches: any bores that narrow outward, any angles and lengths, known coefficients here and there."""
    count = count or draw(st.integers(1, 4))
    wide = draw(st.sampled_from(BORES[3:]))
    runs, machines, parent = [], [], "collector"
    for i in range(count):
        on = {"loss": draw(KNOWN)} if i else {}
        runs.append(run(f"main {i}", parent, wide, draw(st.floats(0.3, 8.0)), **on))
        parent = f"main {i}"
        bore = draw(st.sampled_from([one for one in BORES if one <= wide]))
        angle, length = si(draw(st.floats(0.2, pi / 2))), draw(st.floats(0.3, 12.0))
        runs.append(run(f"drop {i}", parent, bore, Gate(name=f"gate {i}"), length, as_="branch", angle=angle, loss=draw(KNOWN), ends=f"m{i}/hood"))
        machines.append(machine(f"m{i}", bore, loss=draw(st.floats(0.2, 4.0))))
    runs.append(run("last", parent, wide, Gate(name="last gate"), draw(st.floats(0.3, 8.0)), loss=draw(KNOWN), ends="last/hood"))
    machines.append(machine("last", wide, loss=draw(st.floats(0.2, 4.0))))
    leakage = Leakage(tightness=draw(st.sampled_from([None, "A", "C"])), shut_gate=draw(st.sampled_from([None, parse("30 mm2", "area")])))
    tuned = Tuned(
        on=draw(st.booleans()),
        collector=0.9,
        pipe=1.4,
        ports=1.3,
        own_ports=(TunedPort(port="m0/hood", loss=0.7),),
        leakage=draw(st.sampled_from([None, 0.6])),
    )
    design = shop(*runs, machines=machines, tuned=tuned)
    return compile_tree(replace(design, leakage=leakage) if draw(st.booleans()) else design)


def every_set(tree):
    """Every gate set as it is asked for."""
    ports = list(tree.leaf_of)
    return [Ask(tree, some) for size in range(1, len(ports) + 1) for some in combinations(ports, size)]


def alone(ask):
    try:
        return solve(ask.tree, ask.open_ports, throttled=ask.throttled)
    except NotConverged:
        return None


@settings(max_examples=60)
@given(tree=networks())
def test_networks_settle_at_the_same_flows(tree):
    asks = every_set(tree)
    settled = many_newton.settle(cases_of(asks))
    balances = [alone(ask) for ask in asks]
    for column in np.flatnonzero(settled.balanced):
        assert not balances[column].blown_back
        assert settled.flows[:, column] == pytest.approx(balances[column].flows, rel=1e-7, abs=1e-12)
    assert settled.balanced.any() or any(balance is None or balance.blown_back for balance in balances)


@pytest.mark.parametrize("span", [1e-1, 1e-4, 1e-6])
def test_a_curve_as_steep_as_a_wall_balances_too(span):
    """A collector that supplies one flow, to a share of it, whatever that costs: two ports divide it, one draws it alone."""
    runs = [run("main", "collector", 160, 3.0), run("on", "main", 160, 3.0, ends="far/hood")]
    runs.append(run("off", "main", 80, 3.0, as_="branch", angle=si(0.8), ends="near/hood"))
    steep = collector((((1.0 - span) * 0.4, 50_000.0), ((1.0 + span) * 0.4, 0.0)), inlet=0.16)
    tree = compile_tree(shop(*runs, machines=[machine("far", 160), machine("near", 80)], collector=steep))
    asks = 20 * every_set(tree)  # so many that they are not solved one by one
    for ask, flows in zip(asks, flows_of(asks), strict=True):
        balance = alone(ask)
        assert balance is not None and balance.flow == pytest.approx(0.4, rel=span)
        assert flows == pytest.approx(balance.flows, rel=1e-7)


@settings(max_examples=40)
@given(data=st.data())
def test_many_networks_of_one_shape_have_the_flows_of_each_alone(data):
    """Other bores, losses, openings, collectors and leaks in one call, from the start and from balances near by; blow-back among them."""
    count = data.draw(st.integers(1, 3))
    trees = [data.draw(networks(count)) for _ in range(3)]
    ports = tuple(trees[0].leaf_of)
    asks = []
    for tree in trees:
        louder = replace(tree, fan=replace(tree.fan, scale=1.3 * tree.fan.scale))
        some = tuple(data.draw(st.lists(st.sampled_from(ports), min_size=1, unique=True)))
        throttled = {gate: 0.5 for port in some for gate in tree.gates_to[port][:1] if data.draw(st.booleans())}
        before = alone(Ask(tree, some, throttled))
        narrower = replace(tree, runs=tuple(replace(duct, bore=0.9 * duct.bore) for duct in tree.runs))  # made from it, as sizes are tried
        asks += [
            Ask(tree, some, throttled),
            Ask(narrower, some, throttled),
            Ask(louder, some, throttled, before and before.flows),
            Ask(tree, ports),
            Ask(louder, ()),
        ]
    balances = {id(ask): alone(ask) for ask in asks}
    repeated = 8  # so many that they are not solved one by one
    for ask, flows in zip(asks * repeated, flows_of(asks * repeated), strict=True):
        balance = balances[id(ask)]
        assert (flows is None) == (balance is None)
        if balance is not None:
            assert flows == pytest.approx(balance.flows, rel=1e-7, abs=1e-9)


@settings(max_examples=60)
@given(tree=networks(), data=st.data())
def test_any_flows_cost_the_same_and_call_for_the_same_step(tree, data):
    asks = every_set(tree)
    cases = cases_of(asks)
    alive = many_newton.ways_of(tree, cases.ends)
    shape = shape_of([tree], alive.any(axis=1))
    nodes = shape.nodes
    alive = np.vstack((alive, np.ones(len(asks), bool)))[nodes]
    many = networks_of(shape, [tree], cases.of, cases.hindrance)
    flows = shape.feeds @ np.where(alive[shape.ends], np.array([[data.draw(st.floats(0.01, 0.5))] for _ in shape.ends]), 0.0)
    with np.errstate(all="ignore"):
        together = many_newton.evaluate(many, alive, flows)
        steps = many_newton._step(many, alive, together)
    for column, ask in enumerate(asks):
        part = live.live_part(tree, *outer_ends(tree, ask.open_ports, ask.throttled))
        at = [nodes.tolist().index(i % (len(tree.ducts) + 1)) for i in part.outer]
        ways = [[nodes.tolist().index(i) for i in way] for way in part.ways]
        state = live.evaluate(tree.fan, part, list(flows[at, column]), colebrook)
        # What several ducts in a row lose is what each of them does, and what is lost between them.
        lost = [sum(together.h[way, column]) + sum(together.j[way[1:], column]) for way in ways]
        between = [sum(2.0 * together.j[way[1:], column] / flows[at[i], column]) for i, way in enumerate(ways)]
        rises = [sum(together.g[way, column]) + between[i] for i, way in enumerate(ways)]
        joined = [together.j[way[0], column] if way else 0.0 for way in ways]
        for one, many_of in ((state.h, lost), (state.g, rises), (state.j, joined)):
            assert many_of == pytest.approx(one, rel=1e-9, abs=1e-9 * max(1.0, *map(abs, one)))
        assert together.worst[column] == pytest.approx(state.worst, rel=1e-9, abs=1e-9 * max(map(abs, state.h)))
        step = newton._step(part, state)
        # A tangent network that is all but without an answer has no step to compare.
        assume(step is not None and max(map(abs, step)) < 100.0)
        assert steps[at, column] == pytest.approx(step, rel=1e-6, abs=1e-6 * max(map(abs, step)))
