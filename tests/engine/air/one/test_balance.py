"""The solved network against closed forms, a published fan-and-duct case and its own bookkeeping."""

from __future__ import annotations

from math import sqrt

import pytest

from engine.air.losses.friction import colebrook
from engine.air.one.balance import duct_curve, part_losses, solve, velocity_pressure, way
from engine.air.one.ducts import area
from engine.air.one.network import compile_tree, ports_for
from engine.air.properties import Air
from engine.design import Elbow, Gate, Hose
from tests.shops.published_fan import AIR as AIR_OF_THE_FAN
from tests.shops.published_fan import CFM, FLOW, PRESSURE, fan_and_duct
from tests.shops.small_shops import collector, machine, q, run, shop, si

AIR = Air(1.2, 1.8e-5)
# Closed forms want losses that are quadratic in flow: friction of a constant factor.
QUADRATIC = {"friction": lambda _reynolds, _roughness: (0.02, 0.0)}


def star(lengths, bore=100, main=1.0, curve=((0.0, 2000.0), (0.5, 1000.0), (1.0, 0.0))):
    """Branches of these lengths on one short main, every joint without loss of its own."""
    runs = [run("main", "collector", 200, main)]
    machines = []
    for i, length in enumerate(lengths):
        machines.append(machine(f"m{i}", bore))
        runs.append(run(f"r{i}", "main", bore, length, as_="branch", angle=si(0.5), loss=0.0, ends=f"m{i}/hood"))
    return shop(*runs, machines=machines, collector=collector(curve, inlet=0.2))


def ports(n):
    return [f"m{i}/hood" for i in range(n)]


@pytest.mark.parametrize("n", [1, 2, 3, 7])
def test_equal_branches_share_equally(n):
    """Closed form: n equal branches draw 1/n each."""
    balance = solve(compile_tree(star([5.0] * n), AIR), ports(n))
    for port in ports(n):
        assert balance.ports[port].flow == pytest.approx(balance.flow / n, rel=1e-9)


def test_two_quadratic_branches_divide_by_root_of_resistance():
    """Closed form: Q1/Q2 = sqrt(k2/k1)."""
    tree = compile_tree(star([3.0, 11.0]), AIR)
    balance = solve(tree, ports(2), **QUADRATIC)
    k = [1.5 + 0.02 * length / 0.1 for length in (3.0, 11.0)]
    assert balance.ports["m0/hood"].flow / balance.ports["m1/hood"].flow == pytest.approx(sqrt(k[1] / k[0]), rel=1e-9)


def test_linear_fan_and_quadratic_duct():
    """Closed form: Q = (-p0/Q0 + sqrt((p0/Q0)^2 + 4 k p0)) / 2k for the fan p = p0 (1 - Q/Q0)."""
    design = shop(run("only", "collector", 160, 12.0, ends="m/hood"), machines=[machine("m", 160)], curve=((0.0, 2000.0), (0.5, 1000.0), (1.0, 0.0)))
    balance = solve(compile_tree(design, AIR), ["m/hood"], **QUADRATIC)
    k = (1.5 + 0.02 * 12 / 0.16) * 1.2 / 2 / area(0.16) ** 2
    p0, q0 = 2000.0, 1.0
    assert balance.flow == pytest.approx((-p0 / q0 + sqrt((p0 / q0) ** 2 + 4 * k * p0)) / (2 * k), rel=1e-9)


def test_doubled_density_leaves_the_flow_of_a_quadratic_system():
    """Fan laws: pressure of fan and ducts both follow density, so the flow stays."""
    design = star([3.0, 8.0, 2.0])
    once, twice = (solve(compile_tree(design, Air(rho, 1.8e-5)), ports(3), **QUADRATIC) for rho in (0.9, 1.8))
    assert once.flow == pytest.approx(twice.flow, rel=1e-9)
    assert twice.collector_pressure == pytest.approx(2 * once.collector_pressure, rel=1e-9)


def test_fan_and_duct_of_cengel_and_cimbala():
    """Cengel & Cimbala, Fluid Mechanics, example 14-1: 650 cfm at 0.83 inH2O (within 1.5 % and 2 %).

    Recomputed with a monotone cubic through the same points: 648 cfm, 0.827 inH2O.
    """
    balance = solve(compile_tree(fan_and_duct(), AIR_OF_THE_FAN), ["hood/hood"])
    assert balance.flow == pytest.approx(FLOW, rel=0.015)
    assert balance.collector_pressure == pytest.approx(PRESSURE, rel=0.02)
    assert balance.flow / CFM == pytest.approx(648, rel=0.002)


def two_sided():
    """A main with a step, a branch, a hose, a mitred elbow and gates."""
    return shop(
        run("main", "collector", 160, 3.0, Elbow(angle=q("90 deg", "angle"), toward="west"), 2.0),
        run(
            "saw drop",
            "main",
            100,
            Gate(name="saw gate"),
            2.0,
            Hose(length=si(0.8), size="hose/80"),
            as_="branch",
            angle=q("45 deg", "angle"),
            ends="saw/hood",
        ),
        run("end", "main", 125, 2.0, Elbow(angle=q("45 deg", "angle"), make="mitred"), Gate(name="planer gate"), 1.0, ends="planer/hood"),
        machines=[machine("saw"), machine("planer", 120)],
    )


@pytest.mark.parametrize("names", [("saw",), ("planer",), ("saw", "planer")])
def test_the_losses_of_a_way_add_up_to_the_collectors_pressure(names):
    tree = compile_tree(two_sided())
    balance = solve(tree, [f"{name}/hood" for name in names])
    assert balance.imbalance < 1e-5
    for name in names:
        lost = sum(part.drop for part in way(tree, balance, f"{name}/hood"))
        assert lost == pytest.approx(balance.collector_pressure, abs=0.01)


def test_loss_of_runs_and_port_add_up_and_suctions_are_static():
    tree = compile_tree(two_sided())
    balance = solve(tree, ["saw/hood", "planer/hood"])
    main, drop = balance.runs["main"], balance.runs["saw drop"]
    at_port = sum(part.drop for part in part_losses(tree, balance, "saw drop") if part.part == "port")
    assert main.loss + drop.loss + at_port == pytest.approx(balance.collector_pressure, abs=0.01)
    pressure = velocity_pressure(main.flow, 0.16, tree.air.density)
    assert main.suction_near == pytest.approx(balance.collector_pressure + pressure, abs=0.01)
    assert main.suction_near - main.suction_far == pytest.approx(main.loss, abs=1e-6)
    assert main.velocity == pytest.approx(main.flow / area(0.16))
    port = balance.ports["saw/hood"]
    assert port.suction == pytest.approx(2.5 * velocity_pressure(port.flow, 0.1, tree.air.density))


def test_shut_branches_carry_nothing_and_show_the_suction_up_to_their_gate():
    tree = compile_tree(two_sided())
    balance = solve(tree, ["planer/hood"])
    drop = balance.runs["saw drop"]
    assert (drop.flow, drop.velocity, drop.loss) == (0.0, 0.0, 0.0)
    assert drop.suction_far == 0.0 and drop.suction_near > 0
    assert balance.runs["main"].flow == balance.runs["end"].flow == balance.flow
    assert list(balance.ports) == ["planer/hood"]


def test_all_shut_leaves_the_shut_off_pressure():
    balance = solve(compile_tree(two_sided()), [])
    assert balance.flow == 0.0
    assert balance.runs["main"].suction_far == pytest.approx(2400 * compile_tree(two_sided()).air.density / 1.2, rel=1e-6)


def test_gates_of_machines_open_their_ways_and_a_way_without_gate_stays_open():
    tree = compile_tree(two_sided())
    assert ports_for(tree, ("saw",)) == ("saw/hood",)
    assert ports_for(tree, ()) == ()
    ungated = compile_tree(star([1.0, 2.0]))
    assert ports_for(ungated, ()) == ("m0/hood", "m1/hood")


def test_duct_curve_meets_the_fan_at_the_working_point():
    tree = compile_tree(two_sided())
    balance = solve(tree, ["saw/hood"])
    [(flow, _)] = duct_curve(tree, ["saw/hood"], [balance.collector_pressure])
    assert flow == pytest.approx(balance.flow, rel=1e-6)


def test_a_more_abrupt_joint_or_longer_hose_draws_less():
    """Direction of every effect a user trades with: longer, narrower or rougher never draws more alone."""
    base = solve(compile_tree(two_sided()), ["saw/hood"]).flow
    longer = shop(*(r if r.id != "main" else run("main", "collector", 160, 30.0) for r in two_sided().runs), machines=two_sided().machines)
    assert solve(compile_tree(longer), ["saw/hood"]).flow < base


def test_known_joint_coefficient_replaces_joint_and_taper():
    design = shop(
        run("main", "collector", 160, 3.0),
        run("drop", "main", 100, 2.0, as_="branch", angle=si(0.7), taper=si(3.14159), loss=0.5, ends="saw/hood"),
        machines=[machine("saw")],
    )
    tree = compile_tree(design)
    balance = solve(tree, ["saw/hood"])
    joint = [part.drop for part in part_losses(tree, balance, "drop") if part.part == "joint"]
    assert joint == [pytest.approx(0.5 * velocity_pressure(balance.flow, 0.16, tree.air.density), rel=1e-9)]


def test_known_coefficient_at_the_collector_is_on_its_inlet():
    lone = {"machines": [machine("m", 100)], "collector": collector(inlet=0.16)}
    tree = compile_tree(shop(run("r", "collector", 100, 2.0, loss=2.0, ends="m/hood"), **lone))
    balance = solve(tree, ["m/hood"])
    joint = [part.drop for part in part_losses(tree, balance, "r") if part.part == "joint"]
    assert joint == [pytest.approx(2.0 * velocity_pressure(balance.flow, 0.16, tree.air.density), rel=1e-9)]


def test_unknown_port_is_refused():
    with pytest.raises(KeyError):
        solve(compile_tree(two_sided()), ["lathe/hood"])


def test_default_friction_is_colebrooks():
    tree = compile_tree(two_sided())
    assert solve(tree, ["saw/hood"]).flow == solve(tree, ["saw/hood"], friction=colebrook).flow
