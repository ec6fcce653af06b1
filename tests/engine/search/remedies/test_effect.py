"""What a change is worth, by hand: each weight, and when a change makes matters worse. Findings are invented."""

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
from tests import SAVED_DESIGNS
from tests.shops.small_shops import si


@pytest.fixture(scope="module")
def bare():
    """A workshop whose machines all have more than their need, with no finding told."""
    design = load(SAVED_DESIGNS / "signal_box_mended.toml")
    machines = (replace(one, ports=tuple(replace(port, needs=si(0.8 * port.needs.si)) for port in one.ports)) for one in design.machines)
    return replace(assess(replace(design, machines=tuple(machines))), findings=())


def some(severity, count, code="fast-run", gate_set="a set"):
    return tuple(Finding(code, severity, RunAt(i), f"run {i}", "", "", "invented", gate_set) for i in range(count))


def effect(bare, before=(), after=(), **rest):
    was = replace(bare, findings=before)
    return effect_of(replace(bare, findings=after), was, standing(was), **{"work": 0.0, **rest})


@pytest.mark.parametrize(("cleared", "worse"), [(2, True), (3, False)])
def test_one_new_fault_is_made_up_for_by_three_cleared(bare, cleared, worse):
    found = effect(bare, some("fault", cleared), some("fault", 1, "slow-run"))
    assert found.worse == worse


def test_every_weight_of_a_finding(bare):
    """As the module says: 1, 0.2 and 0.05 for one cleared, three times as much against a new fault and for what holds in every set."""
    for severity, worth in (("fault", 1.0), ("caution", 0.2), ("note", 0.05)):
        assert effect(bare, some(severity, 2)).benefit == pytest.approx(2 * worth)
        assert effect(bare, some(severity, 2, gate_set=None)).benefit == pytest.approx(6 * worth)
        assert effect(bare, (), some(severity, 2)).benefit == pytest.approx(-2 * worth * (3 if severity == "fault" else 1))


def test_the_neediest_machines_share_counts_ten_times_below_its_need_and_once_beyond(bare):
    high = standing(bare).share
    assert high > 1.0
    lower = replace(standing(bare), share=0.8)
    assert effect_of(bare, bare, lower, work=0.0).benefit == pytest.approx(10 * 0.2 + (high - 1.0))


def test_effort_is_one_a_quarter_for_each_fitting_and_one_for_a_tenth_of_the_price(bare):
    was = standing(bare)
    assert was.price > 0
    before = some("fault", 4)
    assert effect(bare, before).score == pytest.approx(4.0)
    assert effect(bare, before, work=2.0).score == pytest.approx(4.0 / 1.5)
    cheaper = replace(was, price=was.price / 1.1)
    assert effect_of(bare, replace(bare, findings=before), cheaper, work=0.0).score == pytest.approx(4.0 / 2.0)


@pytest.mark.parametrize(("merit", "helps"), [(0.0201, True), (0.0199, False)])
def test_less_than_a_fiftieth_of_a_fault_is_not_worth_offering(bare, merit, helps):
    assert effect(bare, merit=merit).helps == helps


@pytest.mark.parametrize("table", read("remedies"))
def test_every_table_of_weights_says_that_it_is_judgement(table):
    assert "judgement" in read("remedies")[table]["source"] and read("remedies")[table]["provenance"] in PROVENANCES
