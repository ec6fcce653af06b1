"""Every balance added up again from its design, and found again by a general root finder."""

from __future__ import annotations

from functools import cache
from math import pi, radians
from random import Random

import fluids
import pytest
from scipy.optimize import root

from engine import load
from engine.air.one.balance import Balance, solve
from engine.air.one.network import compile_tree, ports_for
from engine.air.properties import air_of
from engine.design import Design, gate_sets_of
from tests import DEMO_FILES
from tests.outside import designs
from tests.outside.reading import Inflow, joint_coefficients, read, supply
from tests.outside.straight_line import friction_factor, path_residuals, residuals, run_flows
from tests.shops.random_shops import random_design, random_ports

SAVED = DEMO_FILES
SEEDS = range(200)
TOLERANCE = 0.01  # Pa: what the solver promises of every path


@cache
def balanced(seed: int) -> tuple[Design, Balance]:
    """A random design, every other one plausible, and its balance."""
    rng = Random(seed)
    design = random_design(rng, plausible=seed % 2 == 1)
    return design, solve(compile_tree(design), random_ports(rng, design))


def worst(design: Design, balance: Balance) -> float:
    """Largest residual of the ports that draw, Pa."""
    found = residuals(design, balance, air_of(design.site))
    return max((abs(found[port]) for port, state in balance.ports.items() if state.flow > 0), default=0.0)


@pytest.mark.parametrize("first", range(0, 200, 50))
def test_every_way_of_random_designs_balances(first):
    amiss = {seed: lost for seed in SEEDS[first : first + 50] if (lost := worst(*balanced(seed))) > TOLERANCE}
    assert not amiss


def test_a_port_is_held_shut_only_where_it_would_not_draw():
    """A held port's way loses at no flow at least as much as the collector supplies."""
    amiss, held = {}, 0
    for seed in SEEDS:
        design, balance = balanced(seed)
        held += len(balance.blown_back)
        if balance.blown_back:
            found = residuals(design, balance, air_of(design.site))
            amiss |= {(seed, port): found[port] for port in balance.blown_back if found[port] < -TOLERANCE}
    assert held > 10
    assert not amiss


@pytest.mark.parametrize("seed", [786, 1402, 2130])
def test_of_ports_at_odds_the_right_one_is_held(seed):
    """Absurd designs where one port blows back into the way of another; with the wrong one held, that one would draw."""
    design, balance = balanced(seed)
    found = residuals(design, balance, air_of(design.site))
    assert balance.blown_back and worst(design, balance) < TOLERANCE
    assert min(found[port] for port in balance.blown_back) > -TOLERANCE


def test_flows_of_runs_are_sums_and_the_collector_works_on_its_curve():
    for seed in SEEDS:
        design, balance = balanced(seed)
        air = air_of(design.site)
        through = run_flows(read(design, air), {port: state.flow for port, state in balance.ports.items()})
        assert {run: state.flow for run, state in balance.runs.items()} == pytest.approx(through, rel=1e-12, abs=1e-15)
        assert balance.collector_pressure == pytest.approx(supply(design.collector, air)(balance.flow), rel=1e-9, abs=1e-6)


def sets_of(design: Design):
    """The open ports of every gate set."""
    tree = compile_tree(design)
    return [ports_for(tree, gate_set.open) for gate_set in gate_sets_of(design)]


@pytest.mark.parametrize("path", SAVED, ids=lambda path: path.stem)
def test_saved_designs_balance_in_every_gate_set(path):
    design = load(path)
    for ports in sets_of(design):
        balance = solve(compile_tree(design), ports)
        assert ports and worst(design, balance) < TOLERANCE


def found_by_root(design: Design, ports: list[str]) -> list[float]:
    """The ports' flows, by Powell's hybrid method from even shares of a third of the collector's last flow."""
    air = air_of(design.site)
    reading = read(design, air)
    collector = design.collector
    last = collector.curve[-1].flow.si if collector.curve else collector.free_air.si

    def imbalance(flows):
        return list(path_residuals(design, reading, dict(zip(ports, flows, strict=True)), air).values())

    answer = root(imbalance, [last / 3 / len(ports)] * len(ports), method="hybr", options={"xtol": 1e-13})
    assert max(abs(answer.fun)) < 1e-6, answer.message
    return answer.x


ROOTED = {
    "12 machines": (designs.workshop(12, fixed=False), slice(None)),
    "12 machines, four open": (designs.workshop(12, fixed=False), slice(None, None, 3)),
    "one duct": (designs.lone_duct(), slice(None)),
    "assorted": (designs.assorted(), slice(None)),
    "assorted, two open": (designs.assorted(), slice(1, 3)),
    **{f"random {seed}": (random_design(Random(seed), plausible=True), slice(None)) for seed in (9, 38, 72, 91, 107, 163)},
}


@pytest.mark.parametrize("name", ROOTED)
def test_scipy_finds_the_same_flows(name):
    design, which = ROOTED[name]
    ports = designs.connected(design)[which]
    balance = solve(compile_tree(design), ports)
    assert [balance.ports[port].flow for port in ports] == pytest.approx(found_by_root(design, ports), rel=1e-7)


@pytest.mark.parametrize("path", SAVED, ids=lambda path: path.stem)
def test_scipy_finds_the_flows_of_saved_designs(path):
    design = load(path)
    for ports in sets_of(design):
        balance = solve(compile_tree(design), ports)
        assert [balance.ports[port].flow for port in ports] == pytest.approx(found_by_root(design, list(ports)), rel=1e-7)


@pytest.mark.parametrize("angle", [30, 45, 60])
@pytest.mark.parametrize("share, ratio", [(0.2, 0.3), (0.35, 0.6), (0.25, 0.5), (0.35, 1.0), (0.9, 0.2), (0.7, 0.5), (0.5, 1.0)])
def test_the_straight_line_has_cranes_wye(share, ratio, angle):
    """Crane TP-410 as in `fluids`, where straight and combined bores agree; a large branch that brings more than 0.39 of the air loses more."""
    legs = (Inflow("s", "straight", 1.0, 0.0, None), Inflow("b", "branch", ratio, radians(angle), None))
    straight, branch = joint_coefficients(1.0, legs, [1 - share, share])
    bores = {"D_run": 1.0, "D_branch": ratio**0.5, "Q_run": 1 - share, "Q_branch": share, "angle": angle}
    rounding = 0.009 * share**2 / ratio  # Crane prints 2 cos(angle) as 1.74, 1.41 and 1
    crane = fluids.K_branch_converging_Crane(**bores)
    if ratio > 0.4 and share > 1 - 0.55 / 0.9:
        assert crane - rounding < branch < crane / 0.55 + rounding
    else:
        assert branch == pytest.approx(crane, abs=rounding)
    assert straight == pytest.approx(fluids.K_run_converging_Crane(**bores), abs=rounding)


def test_the_straight_line_has_cranes_tee():
    """Crane TP-410, 90 deg: 1.55 q - q^2 on the straight leg."""
    legs = (Inflow("s", "straight", 1.0, 0.0, None), Inflow("b", "branch", 1.0, pi / 2, None))
    straight, branch = joint_coefficients(1.0, legs, [0.75, 0.25])
    assert straight == pytest.approx(1.55 * 0.25 - 0.25**2)
    assert branch == pytest.approx(fluids.K_branch_converging_Crane(1.0, 1.0, 0.75, 0.25, 90))


@pytest.mark.parametrize("reynolds, roughness", [(3e3, 0.0), (1e4, 1e-3), (1e5, 1e-5), (2e5, 0.02), (3e6, 5e-4)])
def test_the_straight_line_has_colebrooks_factor(reynolds, roughness):
    assert friction_factor(reynolds, roughness) == pytest.approx(fluids.friction.Colebrook(reynolds, roughness), rel=1e-10)
    assert friction_factor(500.0, roughness) == 64 / 500


def test_a_slip_of_one_percent_shows():
    """The straight line would notice: with every flow 1 % off, hundreds of times the tolerance."""
    design = designs.workshop(12, fixed=False)
    ports = designs.connected(design)
    air = air_of(design.site)
    flows = {port: 1.01 * state.flow for port, state in solve(compile_tree(design), ports).ports.items()}
    assert min(abs(value) for value in path_residuals(design, read(design, air), flows, air).values()) > 100 * TOLERANCE
