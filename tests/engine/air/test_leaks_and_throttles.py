"""Leaking ducts and gates, throttled gates, filter states, a duct to the outside and a swirling inlet."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import pytest

from engine.air.losses.gates import throttled
from engine.air.losses.leaks import gap_resistance, opening, wall_leak
from engine.air.one.balance import part_losses, solve, velocity_pressure, way
from engine.air.one.network import compile_tree
from engine.checks.assess import assess
from engine.design import CollectorLoss, Elbow, Gate, GateSet, Hose, Leakage, OwnLoss, Straight, Throttle
from engine.design.places import PieceAt
from engine.edits import delete, set_field
from engine.files.design_file import dumps, loads
from tests import SAVED_DESIGNS
from tests.shops.small_shops import collector, machine, q, run, shop, si

PI = 3.141592653589793


def two_drops(**rest):
    return shop(
        run("main", "collector", 160, 4.0),
        run("saw drop", "main", 125, Gate(name="saw gate"), 3.0, as_="branch", ends="saw/hood"),
        run("planer drop", "main", 125, Gate(name="planer gate"), 3.0, ends="planer/hood"),
        machines=[machine("saw", 125), machine("planer", 125)],
        **rest,
    )


def balanced(design, *names, **rest):
    tree = compile_tree(design)
    return tree, solve(tree, [f"{name}/hood" for name in names], **rest)


@pytest.mark.parametrize(("tightness", "litres"), [("A", 30.0), ("B", 10.0), ("C", 3.3)])
def test_leak_of_twenty_metres_by_class(tightness, litres):
    """EN 12237, f = k p^0.65: 20 m of 150 mm pipe at 1500 Pa leaks 30, 10 and 3 L/s in classes A, B and C (computed)."""
    leak = wall_leak(tightness, PI * 0.150 * 20.0) * 1500.0**0.65
    assert 1000 * leak == pytest.approx(litres, rel=0.04)


def test_classes_differ_as_their_constants():
    """EN 12237: 0.027, 0.009, 0.003 and 0.001."""
    found = [wall_leak(tightness, 1.0) for tightness in "ABCD"]
    assert [leak / found[3] for leak in found] == pytest.approx([27.0, 9.0, 3.0, 1.0])


def test_a_gap_is_a_sharp_orifice():
    """Closed form: q = 0.6 A sqrt(2p/rho); the opening for 378 L/s at 3 Pa is 0.28 m2 (computed)."""
    assert opening(0.378, 3.0, 1.2) == pytest.approx(0.28, rel=0.01)
    assert gap_resistance(0.28, 1.2) * 0.378**2 == pytest.approx(3.0, rel=0.02)
    assert gap_resistance(opening(0.5, 40.0, 1.1), 1.1) * 0.5**2 == pytest.approx(40.0)


def test_leaky_ducts_draw_more_and_give_the_machine_less():
    _, tight = balanced(two_drops(), "saw")
    tree, leaky = balanced(two_drops(leakage=Leakage(tightness="A")), "saw")
    assert leaky.flow > tight.flow and leaky.ports["saw/hood"].flow < tight.ports["saw/hood"].flow
    lost = leaky.flow - leaky.runs["saw drop"].flow
    walls = PI * (0.160 * 4.0 + 0.125 * 3.0)  # the other drop's are behind a shut gate
    mean = (leaky.runs["main"].suction_far + leaky.collector_pressure) / 2
    assert lost == pytest.approx(wall_leak("A", walls) * mean**0.65, rel=0.25)
    assert leaky.imbalance < 0.01 and set(leaky.runs) == {"main", "saw drop", "planer drop"}
    total = sum(part.drop for part in way(tree, leaky, "saw/hood"))
    assert total == pytest.approx(leaky.collector_pressure, abs=0.01)


def test_a_run_without_pipe_has_no_walls_to_leak():
    """A run that is a gate alone is no hole: the design draws about as without the gate."""

    def with_stub(*stub, tightness):
        return shop(
            run("main", "collector", 160, 4.0), run("stub", "main", 160, *stub), run("drop", "stub", 160, 2.0, ends="saw/hood"),
            machines=[machine("saw", 160)], leakage=Leakage(tightness=tightness),
        )  # fmt: skip

    leaky = balanced(with_stub(Gate(name="gate", loss=0.0), tightness="A"), "saw")[1]
    short = balanced(with_stub(1e-6, tightness="A"), "saw")[1]
    assert leaky.ports["saw/hood"].flow == pytest.approx(short.ports["saw/hood"].flow, rel=1e-5)


def gated(*beyond):
    """A drop whose gate stands after 1 m of pipe, with so much pipe or hose beyond, and another drop without a gate."""
    return shop(
        run("main", "collector", 160, 4.0), run("far drop", "main", 125, 1.0, Gate(name="far gate"), *beyond, as_="branch", ends="planer/hood"),
        run("saw drop", "main", 125, 3.0, as_="branch", ends="saw/hood"),
        machines=[machine("saw", 125), machine("planer", 125)], leakage=Leakage(tightness="A"),
    )  # fmt: skip


def test_walls_beyond_a_shut_gate_draw_nothing():
    _, leaky = balanced(gated(20.0), "saw")
    assert leaky.flow == pytest.approx(balanced(gated(), "saw")[1].flow, rel=1e-9)
    walls = {"main": PI * 0.160 * 4.0, "far drop": PI * 0.125 * 1.0, "saw drop": PI * 0.125 * 3.0}
    leaks = sum(wall_leak("A", area) * leaky.runs[name].suction_near ** 0.65 for name, area in walls.items())
    assert leaky.flow - leaky.runs["saw drop"].flow == pytest.approx(leaks, rel=1e-6)


def test_walls_beyond_an_open_gate_leak():
    drawn = [balanced(gated(*pipe), "saw", "planer")[1] for pipe in ((), (20.0,))]
    short, long = (balance.flow - sum(port.flow for port in balance.ports.values()) for balance in drawn)
    assert long > 2 * short
    tree = compile_tree(gated(20.0))
    assert [(leak.run, leak.behind) for leak in tree.leaks] == [("main", ()), ("far drop", ()), ("far drop", ("far gate",)), ("saw drop", ())]


def test_a_gate_in_the_first_run_keeps_all_walls_beyond_it_from_leaking():
    design = shop(
        run("main", "collector", 160, 2.0, Gate(name="main gate"), 2.0), run("drop", "main", 125, 3.0, ends="saw/hood"),
        machines=[machine("saw", 125)], leakage=Leakage(tightness="A"),
    )  # fmt: skip
    tree, leaky = balanced(design, "saw")
    assert [(leak.run, leak.behind) for leak in tree.leaks] == [("main", ()), ("main", ("main gate",)), ("drop", ("main gate",))]
    assert leaky.flow > leaky.ports["saw/hood"].flow
    shut = solve(tree, [])
    assert shut.flow == pytest.approx(wall_leak("A", PI * 0.160 * 2.0) * shut.collector_pressure**0.65, rel=1e-6)


def test_a_loss_named_gate_is_none():
    """Neither for walls, nor where a throttled gate takes its pressure."""
    tree = compile_tree(gated(OwnLoss(loss=0.3, name="gate"), 20.0))
    assert [leak.behind for leak in tree.leaks] == [(), (), ("far gate",), ()]
    design = shop(
        run("drop", "collector", 125, OwnLoss(loss=0.3, name="gate"), Gate(name="real"), 2.0, ends="saw/hood"), machines=[machine("saw", 125)]
    )
    tree, held = balanced(design, "saw", throttled={"real": 0.5})
    assert [part.part for part in part_losses(tree, held, "drop") if part.label == "throttled gate"] == [1]


def test_a_hose_left_compressed_has_no_more_wall_for_its_friction():
    hose = [Hose(length=q("2 m"), compressed=share) for share in (0.0, 0.4)]
    stretched, folded = (compile_tree(gated(one)) for one in hose)
    assert [leak.conductance for leak in stretched.leaks] == [leak.conductance for leak in folded.leaks]
    loss = [tree.runs[tree.index["far drop"]].loss(0.2)[0] for tree in (stretched, folded)]
    assert loss[1] > 1.2 * loss[0]


def test_tighter_ducts_leak_less():
    flows = [balanced(two_drops(leakage=Leakage(tightness=t)), "saw")[1].ports["saw/hood"].flow for t in "ABCD"]
    assert flows == sorted(flows)


def test_a_shut_gate_that_leaves_a_gap_draws_what_an_orifice_would():
    gap = 5e-4
    _, tight = balanced(two_drops(), "saw")
    _, leaky = balanced(two_drops(leakage=Leakage(shut_gate=si(gap))), "saw")
    drop = leaky.runs["planer drop"]
    suction = leaky.runs["planer drop"].suction_near
    assert opening(drop.flow, suction, compile_tree(two_drops()).air.density) == pytest.approx(gap, rel=0.05)
    assert not drop.carries and leaky.runs["saw drop"].carries
    assert leaky.ports["saw/hood"].flow < tight.ports["saw/hood"].flow
    assert list(leaky.ports) == ["saw/hood"]


def test_leaks_raise_no_findings_about_shut_runs():
    design = two_drops(leakage=Leakage(tightness="A", shut_gate=si(5e-4)), sets=[("saw",)])
    assert not [f for f in assess(design).findings if f.where.startswith("planer")]


@pytest.mark.parametrize("share", [0.3, 0.5, 0.8])
def test_a_throttled_gate_takes_what_its_coefficient_says(share):
    tree, balance = balanced(two_drops(), "saw", "planer", throttled={"saw gate": share})
    [loss] = [part for part in part_losses(tree, balance, "saw drop") if part.label == "throttled gate"]
    pressure = velocity_pressure(balance.runs["saw drop"].flow, 0.125, tree.air.density)
    assert loss.drop == pytest.approx((throttled(share) - 0.1) * pressure)
    assert loss.part == 0
    total = sum(part.drop for part in way(tree, balance, "saw/hood"))
    assert total == pytest.approx(balance.collector_pressure, abs=0.01)


def test_throttling_one_gate_gives_the_other_more():
    _, open_wide = balanced(two_drops(), "saw", "planer")
    _, held = balanced(two_drops(), "saw", "planer", throttled={"saw gate": 0.4})
    assert held.ports["saw/hood"].flow < open_wide.ports["saw/hood"].flow
    assert held.ports["planer/hood"].flow > open_wide.ports["planer/hood"].flow


def test_a_gate_set_throttles_its_gates_and_follows_their_names():
    working = GateSet(name="both", open=("saw", "planer"), throttle=(Throttle(gate="saw gate", open=0.4),))
    design = replace(two_drops(), gate_sets=(working, GateSet(name="wide", open=("saw", "planer"))))
    held, wide = assess(design).sets
    assert held.balance.ports["saw/hood"].flow < wide.balance.ports["saw/hood"].flow
    renamed = set_field(design, PieceAt(1, 0), "name", "east gate")
    assert renamed.gate_sets[0].throttle[0].gate == "east gate"
    assert delete(design, PieceAt(1, 0)).gate_sets[0].throttle == ()


def test_added_keys_survive_the_file():

    text = (SAVED_DESIGNS / "signal_box.toml").read_text()
    text = text.replace("[collector]\n", '[leakage]\ntightness = "B"\nshut_gate = "20 mm^2"\n\n[collector]\n', 1)
    text = text.replace('open = ["planer"]\n', 'open = ["planer"]\nthrottle = [\n    { gate = "planer gate", open = 0.7 },\n]\n', 1)
    outlet = 'discharge = "outside"\noutlet_pieces = [\n    { straight = "2 m" },\n]\nfilter = "dirty"\n'
    text = text.replace('discharge = "room"\n', outlet, 1).replace(
        'basis = "inlet suction"\n', 'basis = "inlet suction"\noutlet = "160 mm"\nswirl = 0.1\n', 1
    )
    assert loads(dumps(loads(text))) == loads(text)
    assert dumps(loads(dumps(loads(text)))) == dumps(loads(text))


def with_filter(state):
    cloth = CollectorLoss(name="cloth", drop=si(300.0), clean=si(100.0), dirty=si(800.0), at=si(0.3), law="linear")
    return two_drops(collector=collector(losses=(cloth,), filter=state))


def test_filter_states_order_the_flows_and_used_is_the_usual():
    clean, used, dirty, usual = (balanced(with_filter(state), "saw")[1] for state in ("clean", "used", "dirty", None))
    assert clean.flow > used.flow > dirty.flow and usual.flow == used.flow
    fan = [compile_tree(with_filter(state)).fan.pressure(0.3)[0] for state in ("clean", "used", "dirty")]
    assert fan[0] - fan[1] == pytest.approx(200.0) and fan[1] - fan[2] == pytest.approx(500.0)


def test_a_duct_to_the_outside_takes_its_friction_and_bends():
    pieces = (Straight(length=q("3 m")), Elbow(angle=q("90 deg", "angle")), Straight(length=q("1 m")))
    outside = collector(outlet=q("160 mm", "bore"), discharge="outside", outlet_pieces=pieces)
    tree, balance = balanced(two_drops(collector=outside), "saw")
    _, inside = balanced(two_drops(), "saw")
    assert balance.flow < inside.flow
    bare = compile_tree(two_drops()).fan.pressure(balance.flow)[0]
    assert bare - balance.collector_pressure == pytest.approx(tree.fan.outlet.loss(balance.flow)[0])
    slope = (tree.fan.pressure(balance.flow + 1e-6)[0] - tree.fan.pressure(balance.flow - 1e-6)[0]) / 2e-6
    assert tree.fan.pressure(balance.flow)[1] == pytest.approx(slope, rel=1e-4)


def test_swirl_takes_its_share_of_the_curve():
    whole, part = (compile_tree(two_drops(collector=collector(swirl=swirl))).fan.pressure(0.2)[0] for swirl in (None, 0.2))
    assert part == pytest.approx(0.8 * whole)


def test_swirl_takes_its_share_of_inlet_suction_less_the_velocity_pressure():
    """That is what the fan adds: measured suction holds the velocity pressure of the test duct, which no swirl takes."""
    for basis, outlet in (("inlet suction", None), ("fan static", None)):
        whole, part = (compile_tree(two_drops(collector=collector(basis=basis, outlet=outlet, swirl=swirl))).fan for swirl in (None, 0.2))
        for flow in (0.0, 0.1, 0.3):
            assert part.pressure(flow)[0] == pytest.approx(0.8 * whole.pressure(flow)[0])


def test_twice_the_pressure_through_a_sharp_gap_is_root_two_times_the_flow():
    assert opening(0.1, 1000.0, 1.2) / opening(0.1, 2000.0, 1.2) == pytest.approx(sqrt(2))
