"""Sizing against every choice tried, on small random shops; its parts by hand. Designs are invented."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from engine import load
from engine.checks.assess import assess
from engine.checks.rules import limit
from engine.design import GateSet
from engine.design.rules.consistency import mistakes
from engine.parts.price import price_of
from engine.search.sizing import local, sizes
from engine.search.sizing.alone import cheapest_alone, is_alone
from engine.search.sizing.conflict import conflict, in_words
from engine.search.sizing.cuts import cut_of
from engine.search.sizing.plant import plant_of
from engine.search.sizing.proof import prove
from engine.search.sizing.proposing import kept_as_they_are
from tests import SAVED_DESIGNS
from tests.shops.sizing_shops import cheapest_of_all, every_choice, hard_shop, searched, small_shop
from tests.shops.small_shops import q

DEMOS = SAVED_DESIGNS
# Enough to hold this quickly; tests.bench.sizing tries 300.
SEEDS = range(40)


def held(design, **rest):
    """A plant with one coefficient at every joint, the same in search and proof."""
    return plant_of(design, **rest).with_joints({run.id: 0.2 for run in design.runs})


def throttled(design, **rest):
    """A plant whose gates are throttled to the needs."""
    return plant_of(design, throttled=True, **rest)


def proven(plant):
    *_, last = prove(plant, None, plant.choices.today())
    return last


@pytest.mark.parametrize("of_kind", [held, throttled])
def test_the_proof_agrees_with_every_choice_tried(of_kind):
    feasible = 0
    for seed in SEEDS:
        plant = of_kind(small_shop(seed), lenient=seed % 2 == 0)
        want, got = every_choice(plant), proven(plant)
        assert got.done and got.impossible == (want is None), seed
        if want:
            feasible += 1
            assert got.best.off == 0.0 and got.best.price == pytest.approx(want.price, abs=1e-3), seed
            assert got.bound == pytest.approx(want.price, abs=1e-2)
    assert 8 < feasible < len(SEEDS) - 5


def test_with_the_full_law_the_answer_keeps_every_rule_and_is_seldom_dearer_than_need_be():
    dearer = []
    for seed in SEEDS:
        plant = plant_of(small_shop(seed), lenient=True)
        want, got = cheapest_of_all(seed), proven(plant)
        if got.best:
            assert local.look(plant, got.best.choice).off == 0.0
            assert want.price <= got.best.price + 1e-6
            dearer.append(got.best.price / want.price - 1)
    assert len(dearer) > 15 and sum(more > 1e-6 for more in dearer) <= len(dearer) // 10


def test_local_search_comes_to_the_best_on_small_shops():
    for seed in SEEDS:
        plant = plant_of(small_shop(seed), lenient=True)
        want = cheapest_of_all(seed)
        *_, got = local.search(plant, local.cheapest)
        assert (got.off == 0.0) == (want is not None), seed
        if want:
            assert got.price <= 1.17 * want.price


def test_one_machine_at_a_time_is_exact_with_the_full_law():
    feasible = 0
    for seed in SEEDS:
        plant = plant_of(small_shop(seed, alone=True), lenient=True)
        assert is_alone(plant.choices)
        want, got = every_choice(plant), cheapest_alone(plant)
        assert (got is None) == (want is None), seed
        if want:
            feasible += 1
            assert plant.prices.total(got) == pytest.approx(want.price)
            assert local.look(plant, got).off == 0.0
    assert feasible > 10


def test_a_cut_excludes_the_choice_it_came_from_and_only_choices_that_break_its_rule():
    for seed in SEEDS[:15]:
        plant = held(small_shop(seed))
        choice = plant.choices.today()
        for answer in plant.answers.every(choice):
            for rule, _ in answer.broken:
                cut = cut_of(plant, choice, rule)

                def inside(other):
                    return all(other[i] <= k for i, k in cut.above) and all(other[i] >= k for i, k in cut.below)

                assert inside(choice)
                for other in product(*(range(len(options)) for options in plant.choices.options)):
                    if inside(other) and not plant.choices.widenings(other):
                        assert plant.answers.answer(other, rule.gate_set).breaks(rule), (seed, rule, other)


def test_what_is_told_as_a_conflict_cannot_be_met_by_any_choice():
    told = 0
    for seed in SEEDS:
        plant = held(small_shop(seed))
        last = proven(plant)
        if last.impossible:
            rules = conflict(plant, last.cuts)
            assert rules and in_words(plant, rules)
            only = held(plant.choices.design)
            only.answers.rules = tuple(tuple(rule for rule in rules if rule.gate_set == at) for at in range(len(plant.choices.sets)))
            assert every_choice(only) is None, seed
            told += 1
    assert told > 10


def test_prices_of_a_choice_are_those_of_its_design():
    for seed in SEEDS[:20]:
        plant = plant_of(small_shop(seed))
        for choice in (plant.choices.today(), tuple(0 for _ in plant.choices.runs), plant.choices.largest()):
            assert plant.prices.total(choice) == pytest.approx(price_of(plant.choices.design_of(choice)).total)


def test_a_choice_answers_as_an_assessment_of_its_design():
    for seed in SEEDS[:20]:
        plant = plant_of(small_shop(seed))
        choice = local.by_speed(plant.choices, 1.0)
        after = assess(plant.choices.design_of(choice))
        assert mistakes(after.design) == ()
        for answer, result in zip(plant.answers.every(choice), after.sets, strict=True):
            assert answer.top == pytest.approx(max(state.velocity for state in result.balance.runs.values() if state.carries), rel=1e-6)
            share = min(state.flow / state.needs for port, state in result.balance.ports.items() if port.split("/")[0] in result.gate_set.open)
            assert answer.share == pytest.approx(share, rel=1e-6)


@pytest.mark.parametrize("demo", ["signal_box", "signal_box_mended", pytest.param("boat_shed", marks=pytest.mark.slow)])
def test_the_demos_are_decided(demo):
    last = searched(demo).last
    assert last.done == last.of == 1 and last.proposals
    for proposal in last.proposals:
        assert mistakes(proposal.design) == ()
        after = assess(proposal.design)
        if "nearest" not in proposal.title:
            assert after.count("fault") == 0
            shares = [after.neediest(result)[1] for result in after.sets if after.neediest(result)]
            assert min(shares) >= (limit(None, "starved-machine", "tolerance") if "no faults" in proposal.title else 1.0) - 1e-9
    if demo == "signal_box":
        assert "cannot be met together" in last.said
    else:
        assert "cheapest there is" in last.said


def test_a_margin_is_kept():
    """Of what is found with a margin every machine has it, and where none can have it that is said."""
    kept = 0
    for seed in SEEDS[:12]:
        *_, last = sizes(small_shop(seed), margin=0.1)
        for one in last.proposals:
            if "no faults" not in one.title and "nearest" not in one.title:
                assert one.standing.share >= 1.1 - 1e-9
                kept += 1
    assert kept


def test_a_size_that_is_not_in_the_store_is_not_taken():
    design = load(DEMOS / "signal_box.toml")
    assert all(option.ref != "spiral/140" for options in plant_of(design).choices.options for option in options)


def test_hoses_go_along_where_their_stock_has_one_that_fits():
    design = load(DEMOS / "signal_box.toml")
    plant = plant_of(design)
    drop = plant.choices.runs.index("planer drop")
    hoses = {option.ref: option.run.pieces[-1].size for option in plant.choices.options[drop]}
    assert hoses == {"spiral/80": "hose/80", "spiral/100": "hose/100", "spiral/125": "hose/125", "spiral/160": "hose/125"}


def mended():
    return load(DEMOS / "signal_box_mended.toml")


def said_and_proposed(design):
    *_, last = sizes(design)
    return last.said, last.proposals


def test_without_prices_the_least_pipe_is_sought_and_told():
    plain = [replace(stock, sizes=tuple(replace(size, price=None) for size in stock.sizes)) for stock in mended().stock]
    said, proposals = said_and_proposed(replace(mended(), stock=tuple(plain)))
    assert "least pipe there is, by its surface" in said and "cheapest" not in said
    [least] = [one for one in proposals if one.title.startswith("least pipe")]

    def surface(design):
        plant = plant_of(design)
        return plant.prices.total(plant.choices.today())

    assert surface(least.design) < surface(replace(mended(), stock=tuple(plain)))


def test_runs_that_no_gate_set_draws_through_keep_their_size():
    fewer = tuple(gate_set for gate_set in mended().gate_sets if gate_set.name in ("planer alone", "lathe alone"))
    design = replace(mended(), gate_sets=fewer)
    _, proposals = said_and_proposed(design)
    for proposal in proposals:
        sizes_now = {run.id: run.size for run in proposal.design.runs}
        assert [sizes_now[run] for run in ("bench drop", "sander drop", "band saw drop")] == ["spiral/125", "spiral/80", "spiral/100"]
        assert "left as they are" in proposal.reason and "bench drop" in proposal.reason
        assert not any(finding.code == "wider-outward" for finding in assess(proposal.design).findings)


def rising():
    points = mended().collector.curve
    return replace(mended(), collector=replace(mended().collector, curve=(replace(points[0], pressure=points[2].pressure), *points[1:])))


def leaking():
    return replace(mended(), leakage=replace(mended().leakage, tightness="D"))


@pytest.mark.parametrize("design, why", [(rising(), "the collector's curve rises"), (leaking(), "ducts or gates leak")])
def test_where_no_proof_holds_none_is_told(design, why):
    said, proposals = said_and_proposed(design)
    assert f"no proof, since {why}" in said and "there is" not in said.splitlines()[-1] and proposals
    assert "cannot be met" not in said


def test_a_run_wider_than_any_that_it_could_join_is_no_rule_for_it():
    """Its bore is given: what it joins is asked to be as wide as it can be."""
    shop = small_shop(2)
    drop = next(i for i, run in enumerate(shop.runs) if run.ends)
    wide = replace(shop.runs[drop], size=None, bore=q("300 mm", "bore"), material="steel")
    plant = held(replace(shop, runs=(*shop.runs[:drop], wide, *shop.runs[drop + 1 :])))
    parent = plant.choices.parent[plant.choices.runs.index(wide.id)]
    for choice in product(*(range(len(options)) for options in plant.choices.options)):
        assert plant.choices.widenings(choice) or choice[parent] == len(plant.choices.options[parent]) - 1
    want, got = every_choice(plant), proven(plant)
    assert got.done and got.impossible == (want is None)
    assert want is None or got.best.price == pytest.approx(want.price, abs=1e-3)


def test_a_branch_with_a_taper_buys_its_reducer():
    shop = small_shop(1)
    at = next(i for i, run in enumerate(shop.runs) if run.as_ == "branch")
    tapered = replace(shop.runs[at], taper=q("30 deg", "angle"))
    more = price_of(replace(shop, runs=(*shop.runs[:at], tapered, *shop.runs[at + 1 :]))).total - price_of(shop).total
    assert more == pytest.approx(1.5 * next(size.price for size in shop.stock[0].sizes if f"pipe/{size.nominal}" == tapered.size))


def test_one_machine_at_a_time_is_quick_on_a_long_main():
    for seed in range(3):
        design = hard_shop(seed)
        plant = plant_of(replace(design, gate_sets=tuple(GateSet(name=one.id, open=(one.id,)) for one in design.machines)), lenient=True)
        choice = cheapest_alone(plant)
        assert local.look(plant, choice).off == 0.0 and plant.answers.solved < 2000
        *_, near = local.search(plant, local.cheapest)
        assert plant.prices.total(choice) <= near.price + 1e-6


def test_a_design_without_ducts_says_so():
    design = replace(load(DEMOS / "signal_box.toml"), runs=())
    [step] = sizes(design)
    assert step.said == "no run leads to a machine" and not step.proposals


def test_leaving_the_search_early_leaves_what_was_found():
    steps = sizes(load(DEMOS / "boat_shed.toml"))
    for step in steps:
        if step.proposals:
            break
    steps.close()
    assert step.proposals


def test_runs_that_are_kept_are_named_beside_a_conflict():
    design = small_shop(1)
    hung = replace(design, runs=tuple(replace(run, state="hung") for run in design.runs))
    assert kept_as_they_are(plant_of(hung)) == "; kept as they are: every run (kept = no frees a run)"
    one = replace(design, runs=(replace(design.runs[0], kept=True), *design.runs[1:]))
    assert kept_as_they_are(plant_of(one)) == f"; kept as they are: {design.runs[0].id} (kept = no frees a run)"
    assert kept_as_they_are(plant_of(design)) == ""
