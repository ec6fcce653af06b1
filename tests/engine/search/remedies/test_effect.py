"""What a change does, by hand: when it is worth being offered, and when it makes worse what matters. Findings are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine import load
from engine.catalog.tables import PROVENANCES, read
from engine.checks.assess import assess
from engine.checks.rules import Finding
from engine.design.places import RunAt
from engine.search.proposals import standing
from engine.search.remedies.effect import effect_of
from engine.search.remedies.effect_words import in_words
from engine.search.remedies.surroundings import gate_sets
from engine.search.remedies.trials import trial
from tests import SAVED_DESIGNS
from tests.shops.small_shops import si


@pytest.fixture(scope="module")
def bare():
    """A workshop whose machines all have more than their need, with no finding told."""
    design = load(SAVED_DESIGNS / "signal_box_mended.toml")
    machines = (replace(one, ports=tuple(replace(port, needs=si(0.8 * port.needs.si)) for port in one.ports)) for one in design.machines)
    return replace(assess(replace(design, machines=tuple(machines))), findings=())


def some(severity, count, code="long-hose", gate_set="a set"):
    return tuple(Finding(code, severity, RunAt(i), f"run {i}", "", "", "invented", gate_set) for i in range(count))


def effect(bare, before=(), after=()):
    was = replace(bare, findings=before)
    return effect_of(replace(bare, findings=after), was, standing(was))


def test_a_condition_less_helps_and_the_same_one_in_fewer_sets_does_not(bare):
    assert effect(bare, some("caution", 1)).helps and effect(bare, some("note", 1)).helps
    both = (*some("caution", 1), *some("caution", 1, gate_set="another set"))
    assert not effect(bare, both, some("caution", 1)).helps and not effect(bare, both, both).helps


def test_a_fault_that_is_new_in_a_gate_set_makes_worse_whatever_is_cleared(bare):
    found = effect(bare, some("fault", 5), some("fault", 1, "slow-run"))
    assert found.worse and not found.helps and found.half_helps
    elsewhere = (*some("fault", 1), *some("fault", 1, gate_set="another set"))
    assert effect(bare, (*some("fault", 1), *some("caution", 3)), elsewhere).worse
    assert effect(bare, some("caution", 1), some("fault", 1)).worse


@pytest.mark.parametrize(("before", "after", "words"), [
    ("caution", "fault", "faults 0 -> 2"), ("note", "caution", "cautions 0 -> 2"), ("fault", "caution", "faults 2 -> 0"),
])  # fmt: skip
def test_what_becomes_graver_or_lighter_counts_as_what_it_becomes(bare, before, after, words):
    assert words in in_words(effect(bare, some(before, 2), some(after, 2)))


def test_as_many_faults_in_fewer_sets_are_said_to_be_there_still(bare):
    both = (*some("fault", 1), *some("fault", 1, gate_set="another set"))
    assert "1 fault still, in fewer places or gate sets" in in_words(effect(bare, both, some("fault", 1)))


def test_a_run_that_becomes_fast_makes_worse_and_one_that_was_so_does_not(bare):
    assert effect(bare, some("fault", 3), some("caution", 1, "fast-run")).worse
    assert effect(bare, (*some("fault", 3), *some("caution", 1, "fast-run")), some("caution", 1, "fast-run")).helps


def test_less_for_the_machine_that_has_too_little_makes_worse_and_beyond_its_need_does_not(bare):
    high = standing(bare).share
    assert high > 1.0
    for share, worse in ((0.95, False), (high + 0.1, False)):
        assert effect_of(bare, bare, replace(standing(bare), share=share)).worse == worse
    wanting = replace(bare, sets=tuple(replace(one, balance=_with_flows(one.balance, 0.6)) for one in bare.sets))
    assert effect_of(wanting, bare, standing(bare)).worse
    losses = effect_of(wanting, bare, standing(bare)).losses
    assert losses and [loss.after / loss.before for loss in losses] == pytest.approx([0.6] * len(losses))


def test_a_main_in_which_chips_settle_must_not_carry_slower_air_yet(bare):
    result = bare.sets[0]
    name = next(iter(result.balance.carried))
    settles = Finding("slow-run", "fault", RunAt(0), name, "", "", "invented", result.gate_set.name)
    before = replace(bare, findings=(settles, *some("caution", 3)))

    def after(by):
        balance = replace(result.balance, flows=tuple(by * flow for flow in result.balance.flows))
        return replace(bare, sets=(replace(result, balance=balance), *bare.sets[1:]), findings=(settles,))

    worse = {by: effect_of(after(by), before, standing(before)).worse for by in (0.5, 0.975, 0.985, 1.0, 1.2)}
    assert worse == {0.5: True, 0.975: True, 0.985: False, 1.0: False, 1.2: False}


def _with_flows(balance, by):
    return replace(balance, ports={port: replace(state, flow=by * state.flow) for port, state in balance.ports.items()})


def test_a_straight_to_be_cut_anew_is_told_and_is_no_fault(bare):
    found = effect(bare, some("caution", 2), some("fault", 1, "hose-short", None))
    assert found.helps and not found.worse and found.misfits == ("run 0",) and found.added == ()


def test_what_is_saved_on_pipe_does_not_count(bare):
    was = standing(bare)
    dearer = replace(was, price=was.price + 10.0)
    assert effect_of(bare, bare, dearer).rank.price == pytest.approx(was.price + 10.0)
    assert effect_of(bare, bare, dearer).price == pytest.approx(-10.0)


def test_work_is_said_to_be_judgement():
    for table in read("remedies").values():
        assert "judgement" in table["source"] and table["provenance"] in PROVENANCES


def test_a_gate_set_that_a_remedy_opens_further_is_named_by_what_is_open_once_it_is_taken():
    """While it is looked at it keeps its name, so that its flows are compared with what they were."""
    design = load(SAVED_DESIGNS / "signal_box.toml")
    before = assess(design)
    change = next(one for one in gate_sets(before) if one.title == "lathe alone: open arching bench too")
    made = trial([change], before, standing(before))
    index = [one.name for one in design.gate_sets].index("lathe alone")
    assert made.design.gate_sets[index].name == "lathe alone"
    assert made.as_taken.gate_sets[index].name == "peg lathe and arching bench"
