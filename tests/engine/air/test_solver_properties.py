"""What every balance owes, whatever the network: it converges, balances, and moves the way air does."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.air.one.balance import solve
from engine.air.one.network import compile_tree
from engine.air.one.newton import PRESSURE_TOLERANCE, NotConverged
from engine.design import Gate, Hose, OwnLoss
from tests.shops.random_shops import random_design, random_ports
from tests.shops.small_shops import collector, machine, run, shop, si

FIXED = 0.3  # coefficient of each branch's joint on the velocity pressure of the main


@pytest.mark.parametrize("first", range(0, 600, 100))
def test_random_networks_balance(first):
    """A part of `tests.bench.sweep`: plausible and absurd designs, one to sixty ports, every kind of curve and joint."""
    for seed in range(first, first + 100):
        rng = Random(seed)
        design = random_design(rng, plausible=seed % 2 == 1)
        balance = solve(compile_tree(design), random_ports(rng, design))
        assert balance.imbalance <= PRESSURE_TOLERANCE, seed
        through = sum(state.flow for state in balance.ports.values())
        assert through == pytest.approx(balance.flow, rel=1e-9), seed


@settings(max_examples=60)
@given(seed=st.integers(min_value=100_000, max_value=10_000_000))
def test_networks_nobody_has_seen_balance(seed):
    rng = Random(seed)
    design = random_design(rng, most_ports=25, plausible=seed % 2 == 1)
    try:
        balance = solve(compile_tree(design), random_ports(rng, design))
    except NotConverged:  # pragma: no cover
        pytest.fail(f"seed {seed}")
    assert balance.imbalance <= PRESSURE_TOLERANCE


def star(lengths, extra=(), joints=None):
    runs = [run("main", "collector", 200, 3.0)]
    for i, length in enumerate(lengths):
        more = (OwnLoss(loss=extra[i]),) if i < len(extra) and extra[i] else ()
        runs.append(run(f"r{i}", "main", 100, length, Gate(name=f"g{i}"), *more, as_="branch", ends=f"m{i}/hood", loss=joints))
    return shop(*runs, machines=[machine(f"m{i}") for i in range(len(lengths))])


lengths = st.lists(st.floats(0.2, 30.0), min_size=2, max_size=6)


@settings(max_examples=40)
@given(lengths=lengths, which=st.integers(0, 5), more=st.floats(0.1, 20.0), fixed=st.booleans())
def test_more_resistance_never_raises_a_branchs_own_flow(lengths, which, more, fixed):
    which %= len(lengths)
    joints = FIXED if fixed else None
    ports = [f"m{i}/hood" for i in range(len(lengths))]
    before = solve(compile_tree(star(lengths, joints=joints)), ports)
    extra = [0.0] * len(lengths)
    extra[which] = more
    after = solve(compile_tree(star(lengths, extra, joints)), ports)
    assert after.ports[ports[which]].flow <= before.ports[ports[which]].flow * (1 + 1e-9)


@settings(max_examples=40)
@given(lengths=lengths, which=st.integers(0, 5))
def test_opening_a_gate_never_raises_anothers_flow(lengths, which):
    """With a falling curve and fixed coefficients."""
    tree = compile_tree(star(lengths, joints=FIXED))
    ports = [f"m{i}/hood" for i in range(len(lengths))]
    late = ports[which % len(ports)]
    others = [port for port in ports if port != late]
    before, after = solve(tree, others), solve(tree, ports)
    for port in others:
        assert after.ports[port].flow <= before.ports[port].flow * (1 + 1e-9)


def test_of_several_working_points_the_one_of_largest_flow_is_taken():
    """A curve that sags and peaks again meets the ducts three times; the fan comes from wide open."""
    sagging = ((0.0, 900.0), (0.05, 350.0), (0.12, 420.0), (0.2, 1500.0), (0.3, 900.0), (0.4, 0.0))
    design = shop(run("r", "collector", 100, 6.0, ends="m/hood"), machines=[machine("m", 100, loss=2.0)], collector=collector(sagging, inlet=0.1))
    tree = compile_tree(design)
    balance = solve(tree, ["m/hood"])
    resistance = balance.collector_pressure / balance.flow**2
    crossings = [
        q / 1000
        for q in range(1, 400)
        if (tree.fan.pressure(q / 1000)[0] - resistance * (q / 1000) ** 2)
        * (tree.fan.pressure((q + 1) / 1000)[0] - resistance * ((q + 1) / 1000) ** 2)
        < 0
    ]
    assert len(crossings) >= 1 and balance.flow == pytest.approx(max(crossings), abs=2e-3)
    assert not balance.rising


def test_a_working_point_on_a_rising_part_is_told():
    peaked = ((0.0, 500.0), (0.3, 2500.0), (0.6, 0.0))
    design = shop(
        run("r", "collector", 80, 25.0, Hose(length=si(4.0), size="hose/80"), ends="m/hood"),
        machines=[machine("m", 80, loss=4.0)],
        collector=collector(peaked, inlet=0.08),
    )
    balance = solve(compile_tree(design), ["m/hood"])
    assert balance.rising and balance.flow < 0.3


def test_a_longer_chain_than_python_recurses_is_solved():
    runs = [run("r0", "collector", 160, 0.2)] + [run(f"r{i}", f"r{i - 1}", 160, 0.2) for i in range(1, 499)]
    runs[-1] = replace(runs[-1], ends="m/hood")
    balance = solve(compile_tree(shop(*runs, machines=[machine("m", 160)])), ["m/hood"])
    assert balance.imbalance <= PRESSURE_TOLERANCE
