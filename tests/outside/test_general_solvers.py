"""Our solver against EPANET 2.2 (through WNTR) and pandapipes on the same trees, with their friction law and with ours."""

from __future__ import annotations

from random import Random

import pytest

from engine.air.one.balance import Balance, solve
from engine.air.one.network import compile_tree
from engine.air.properties import air_of
from tests.outside import designs, epanet, networks, panda
from tests.outside.networks import swamee_jain
from tests.shops.random_shops import random_design

_WORKSHOP = designs.workshop(12)
_EVERY = designs.connected(_WORKSHOP)
# Of each: the design and the ports that are open.
CASES = {
    "12 machines": (_WORKSHOP, _EVERY),
    "12 machines, four open": (_WORKSHOP, _EVERY[::3]),
    "12 machines, one open": (_WORKSHOP, _EVERY[7:8]),
    "one duct": (designs.lone_duct(), ["sander/hood"]),
    "manifold": (designs.manifold(), designs.connected(designs.manifold())),
    "manifold, two open": (designs.manifold(), ["m1/hood", "m4/hood"]),
    "steps": (designs.stepped(), ["planer/hood", "saw/hood"]),
    "steps, saw open": (designs.stepped(), ["saw/hood"]),
}
cases = pytest.mark.parametrize("name", CASES)


def both(name: str, **laws) -> tuple[Balance, networks.Network]:
    """Our balance, and the network for the others."""
    design, ports = CASES[name]
    air = air_of(design.site)
    return solve(compile_tree(design), ports, **laws), networks.fixed(design, ports, air)


def apart(balance: Balance, flows: dict[str, float]) -> float:
    """Largest relative difference of the flow of any run; of a shut run, against the whole flow."""
    return max(abs(flows[run] - state.flow) / (state.flow or balance.flow) for run, state in balance.runs.items())


def test_the_workshop_is_of_12_machines_and_23_runs():
    assert len(_EVERY) == 12 and len(_WORKSHOP.runs) == 23


@cases
def test_epanet_under_its_friction_law(name, tmp_path):
    """To 2e-5: what its single-precision results and rounded constants allow."""
    balance, network = both(name, friction=swamee_jain)
    assert apart(balance, epanet.flows(network, tmp_path)) < 2e-5


@cases
def test_epanet_under_colebrook(name, tmp_path):
    """To 0.5 %: its friction law is within about 1 % of Colebrook's."""
    balance, network = both(name)
    assert apart(balance, epanet.flows(network, tmp_path)) < 5e-3


@cases
def test_pandapipes_under_its_explicit_friction_law(name):
    balance, network = both(name, friction=swamee_jain)
    assert apart(balance, panda.flows(network, "swamee-jain")) < 1e-8


@cases
def test_pandapipes_under_colebrook(name):
    """To 1e-6: it stops its iteration of the friction factor early."""
    balance, network = both(name)
    assert apart(balance, panda.flows(network)) < 1e-6


# Of the first 200 plausible random designs, some with 3 to 12 ports, turbulent everywhere, without blow-back,
# and with every kind of joint between them.
REPLAYED = (0, 3, 4, 9, 13, 24, 27, 28, 38, 49, 51, 65, 72, 77, 83, 89, 91, 92, 107, 110, 163, 177, 194, 199)


@pytest.mark.parametrize("seed", REPLAYED)
def test_flow_ratio_joints_frozen_and_replayed_in_pandapipes(seed):
    """No library has such joints: ours are solved, each loss made a constant of its run, and the flows come back."""
    design = random_design(Random(seed), 30, plausible=True)
    air = air_of(design.site)
    balance = solve(compile_tree(design), designs.connected(design), friction=swamee_jain)
    assert not balance.blown_back
    assert apart(balance, panda.flows(networks.frozen(design, balance, air), "swamee-jain")) < 1e-7


def test_the_replayed_joints_are_of_every_kind_and_some_gain_pressure():
    kinds, gains = set(), 0
    for seed in REPLAYED:
        design = random_design(Random(seed), 30, plausible=True)
        tree = compile_tree(design)
        kinds |= {tuple(leg.kind for leg in joint.legs) for joint in tree.joints if joint}
        gains += any(loss < 0 for loss in solve(tree, designs.connected(design), friction=swamee_jain).joint_losses)
    assert kinds == {("straight",), ("branch",), ("straight", "branch"), ("leg", "leg"), ("straight", "branch", "branch")}
    assert gains >= 5
