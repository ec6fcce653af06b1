"""The rules that sizes must keep, each a hair on either side of its limit. Designs are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.air.losses.junctions import momentum
from engine.air.one.balance import velocity_pressure
from engine.catalog.limits import least, most
from engine.checks.assess import assess
from engine.design import Conveying, Leakage
from engine.search.sizing.plant import plant_of
from engine.search.sizing.plant.rules import Rule, no_answer
from tests.shops.sizing_shops import small_shop
from tests.shops.small_shops import si

HAIR = 1e-4


def broken(design, kind, **rest):
    """How far off each rule of a kind is under today's sizes, of the first gate set."""
    plant = plant_of(design, **rest)
    return {rule.what: by for rule, by in plant.answers.answer(plant.choices.today(), 0).broken if rule.kind == kind}


def with_speeds(design, slow, fast):
    return replace(design, conveying=Conveying(slow_branch=si(slow), slow_main=si(slow), settles=si(slow / 2), fast=si(fast)))


@pytest.mark.parametrize("throttled", [False, True])
@pytest.mark.parametrize("seed", range(4))
def test_a_run_is_fast_from_its_limit_on(seed, throttled):
    shop = small_shop(seed)
    plant = plant_of(shop, throttled=throttled)
    top = plant.answers.answer(plant.choices.today(), 0).top / most(1.0)
    assert broken(with_speeds(shop, 1e-3, top * (1 + HAIR)), "fast", throttled=throttled) == {}
    told = broken(with_speeds(shop, 1e-3, top * (1 - HAIR)), "fast", throttled=throttled)
    assert told and max(told.values()) == pytest.approx(HAIR, rel=0.01)


@pytest.mark.parametrize("throttled", [False, True])
@pytest.mark.parametrize("seed", range(4))
def test_a_run_is_slow_below_its_limit_and_when_lenient_only_where_the_load_settles(seed, throttled):
    shop = small_shop(seed)
    far = broken(with_speeds(shop, 50.0, 200.0), "slow", throttled=throttled)
    lowest = min(50.0 * (1 - by) for by in far.values())
    assert broken(with_speeds(shop, lowest * (1 - HAIR), 200.0), "slow", throttled=throttled) == {}
    told = broken(with_speeds(shop, lowest * (1 + HAIR), 200.0), "slow", throttled=throttled)
    assert told and max(told.values()) == pytest.approx(HAIR, rel=0.01)
    assert broken(with_speeds(shop, 2 * lowest * (1 - HAIR), 200.0), "slow", throttled=throttled, lenient=True) == {}
    assert broken(with_speeds(shop, 2 * lowest * (1 + HAIR), 200.0), "slow", throttled=throttled, lenient=True)
    assert broken(with_speeds(shop, 1e-3, 1e-2), "fast", throttled=throttled, lenient=True) == {}


@pytest.mark.parametrize("seed", range(4))
def test_rules_on_speed_judge_as_findings_do(seed):
    """On both sides of the margin that a published limit has, settling and fast."""
    shop = small_shop(seed)
    own = [Rule(0, "slow", "", 1.0), Rule(0, "fast", "", 1.0)]
    assert [rule.bound for rule in own] == [least(1.0), most(1.0)]
    speeds = plant_of(shop, lenient=True)
    slowest = min(50.0 * (1 - by) for by in broken(with_speeds(shop, 100.0, 200.0), "slow", lenient=True).values())
    for settles, settled in ((slowest * (1 - HAIR), False), (slowest * (1 + HAIR), True)):
        design = with_speeds(shop, 2 * settles, 200.0)
        name = speeds.choices.sets[0].name
        found = [one for one in assess(design).findings if one.code == "slow-run" and one.severity == "fault" and one.gate_set == name]
        assert bool(broken(design, "slow", lenient=True)) == bool(found) == settled


@pytest.mark.parametrize(("rest", "share"), [({}, 1.0), ({"share": 1.15}, 1.15), ({"lenient": True}, 0.9)])
@pytest.mark.parametrize("seed", range(4))
def test_a_machine_is_to_get_its_need_and_the_margin_and_when_lenient_what_no_measurement_finds_wanting(seed, rest, share):
    shop = small_shop(seed)
    plant = plant_of(shop)
    first, *_ = plant.answers.balances(plant.choices.today())
    port, state = next((port, state) for port, state in first.ports.items() if port.split("/")[0] in shop.gate_sets[0].open)

    def needing(flow):
        name = port.split("/")[0]
        machines = (replace(one, ports=(replace(one.ports[0], needs=si(flow)),)) if one.id == name else one for one in shop.machines)
        return replace(shop, machines=tuple(machines))

    assert port not in broken(needing(state.flow / share * (1 - HAIR)), "least", **rest)
    assert broken(needing(state.flow / share * (1 + HAIR)), "least", **rest)[port] == pytest.approx(HAIR, rel=0.01)


def test_a_margin_is_asked_of_throttled_gates_too():
    """At the flow with the margin the way takes more, and what the collector could drive is told against the need."""
    shop = small_shop(1)
    one, more = (plant_of(shop, throttled=True, share=share).answers.answer(plant_of(shop).choices.today(), 0) for share in (1.0, 1.2))
    assert more.top == pytest.approx(1.2 * one.top)
    assert more.share == pytest.approx(one.share, rel=0.2)


@pytest.mark.parametrize(
    ("kind", "value", "miss"),
    [("fast", 1.01 * 30.3, 0.01), ("fast", 0.99 * 30.3, -0.01), ("slow", 0.99 * 29.7, 0.01), ("slow", 1.01 * 29.7, -0.01), ("least", 30.3, -0.01)],
)  # fmt: skip
def test_how_far_a_rule_is_missed(kind, value, miss):
    """Of a limit on speed of 30 m/s with its margin of a hundredth, of a need to the full."""
    assert Rule(0, kind, "main", 30.0).miss(value) == pytest.approx(miss)


@pytest.mark.parametrize("seed", range(6))
def test_joints_held_as_they_are_under_a_choice_lose_just_that(seed):
    """Each in velocity pressures of its own run, on the average over the sets; one that gives pressure back is held at no loss."""
    plant = plant_of(small_shop(seed))
    choice = plant.choices.today()
    coefficients = plant.answers.coefficients(choice)
    carrying = {run for balance in plant.answers.balances(choice) for run, state in balance.runs.items() if state.carries}
    assert set(coefficients) == {run for i, run in enumerate(plant.choices.runs) if plant.choices.parent[i] >= 0 and run in carrying}
    assert min(coefficients.values()) >= 0
    held, by_law = plant.with_joints(coefficients).answers.network(choice), plant.answers.network(choice)
    assert all(momentum(joint, [0.1] * len(joint.legs))[0] == [0.0] * len(joint.legs) for joint in held.joints if joint)
    for now, was in zip(held.runs, by_law.runs, strict=True):
        lost = coefficients.get(now.run, 0.0) * velocity_pressure(0.1, now.bore, held.air.density)
        assert now.loss(0.1)[0] - was.loss(0.1)[0] == pytest.approx(lost, abs=1e-9)


@pytest.mark.parametrize("seed", [1, 5])
def test_joints_that_all_lose_leave_the_flows_of_a_gate_set_as_they_are_once_held(seed):
    shop = small_shop(seed)
    plant = plant_of(replace(shop, gate_sets=shop.gate_sets[:1]))
    choice = plant.choices.today()
    held = plant.with_joints(plant.answers.coefficients(choice))
    (was,), (now,) = ([balance.flows for balance in each.answers.balances(choice)] for each in (plant, held))
    assert max(was) > 0.1 and list(now) == pytest.approx(list(was), rel=1e-6)


def test_each_gate_set_is_solved_once_for_the_same_sizes():
    plant = plant_of(small_shop(1))
    assert plant.answers.solved == 0
    for _ in range(2):
        answers = plant.answers.every(plant.choices.today())
        assert plant.answers.solved == len(answers) == len(plant.choices.sets)


@pytest.mark.parametrize(("leakage", "solved"), [(Leakage(), 1), (Leakage(tightness="A"), 2)])
def test_a_size_off_the_ways_of_a_set_changes_its_answer_only_where_walls_leak(leakage, solved):
    plant = plant_of(replace(small_shop(6, alone=True), leakage=leakage))
    choices, today = plant.choices, plant.choices.today()
    working = {i for port in choices.open[0] for i in choices.way_to(port)}
    idle = next(i for i, options in enumerate(choices.options) if i not in working and len(options) > 1)
    other = tuple(int(size == 0) if i == idle else size for i, size in enumerate(today))
    was, now = (plant.answers.answer(choice, 0) for choice in (today, other))
    assert plant.answers.solved == solved and (was == now) == (solved == 1)


def test_where_nothing_is_known_no_rule_is_broken_for_certain():
    rule = Rule(0, "least", "saw/hood", 0.2)
    answer = no_answer([rule])
    assert (answer.off, answer.share, answer.top) == (1.0, 0.0, 0.0) and not answer.breaks(rule)
    assert replace(answer, known=True).breaks(rule) and not replace(answer, known=True).breaks(replace(rule, gate_set=1))
