"""Findings folded into the conditions that they tell of. Shops are invented."""

from __future__ import annotations

import pytest

from engine import load
from engine.checks.assess import assess
from engine.checks.conditions import conditions_of, narrowed
from engine.checks.rules import Finding, Measure
from engine.design.places import RunAt
from tests import SAVED_DESIGNS
from tests.shops.small_shops import run, shop


@pytest.fixture(scope="module")
def design():
    """A main of three runs, and a branch."""
    return shop(
        run("main", "collector", 160, 1.0), run("main 2", "main", 160, 1.0), run("end", "main 2", 100, 1.0),
        run("drop", "main", 100, 1.0, as_="branch"),
    )  # fmt: skip


def slow(where, gate_set, speed, limit=15.0, severity="fault"):
    told = f"{speed:.1f} m/s"
    message = f"{told}, slower than {limit:.1f} m/s: chips settle"
    return Finding("slow-run", severity, RunAt(0), where, message, "", "invented", gate_set, measure=Measure(speed, limit, "speed", told))


def test_a_main_in_all_its_stretches_and_sets_is_one_sentence(design):
    found = tuple(slow(run.id, gate_set, speed) for run in design.runs[:3] for gate_set, speed in (("one", 14.1), ("two", 9.5)))
    (one,) = conditions_of(found, design)
    assert one.text == "main, all 3 stretches, in 2 gate sets: 9.5 to 14.1 m/s, slower than 15.0 m/s: chips settle; worst at main with two"
    assert one.brief == "slow-run, main, all 3 stretches, 2 gate sets: 9.5 to 14.1 m/s"
    assert narrowed(one, design, "one").text == "main, all 3 stretches (one): 14.1 m/s, slower than 15.0 m/s: chips settle"
    assert narrowed(one, design, "three") is None


def test_no_limit_is_told_of_a_run_that_has_another(design):
    found = slow("main", "one", 14.0), slow("end", "one", 12.0, 20.0), slow("main 2", "one", 13.5)
    (one,) = conditions_of(found, design)
    assert one.message == "12.0 m/s, slower than 20.0 m/s, and 13.5 to 14.0 m/s, slower than 15.0 m/s: chips settle" and one.remark == "worst at end"
    other = found[0]._replace(message="14.0 m/s, slower than 15.0 m/s: it hums")
    (one,) = conditions_of((other, *found[1:]), design)
    assert one.message == "12.0 m/s, slower than 20.0 m/s: chips settle"


def test_a_branch_another_severity_and_what_is_accepted_stand_apart(design):
    found = (slow("main", "one", 9.0), slow("drop", "one", 9.0), slow("main 2", "one", 16.0, 18.0, "caution"))
    assert len(conditions_of(found, design)) == 3
    assert len(conditions_of((found[0], found[0]._replace(where="end", accepted="seldom")), design)) == 2


@pytest.mark.parametrize("demo", ["signal_box", "boat_shed"])
def test_every_finding_is_in_one_condition_and_they_are_far_fewer(demo):
    assessment = assess(load(SAVED_DESIGNS / f"{demo}.toml"))
    folded = [finding for one in assessment.conditions for finding in one.findings]
    assert sorted(map(id, folded)) == sorted(map(id, assessment.findings))
    assert 2 * len(assessment.conditions) <= len(folded) + 1
    ranks = [one.worst.rank for one in assessment.conditions]
    assert ranks == sorted(ranks)


def test_hoses_of_one_cause_are_one_entry_and_faults_of_hoses_are_not():
    design = load(SAVED_DESIGNS / "boat_shed.toml")
    (hoses,) = (one for one in assess(design).conditions if one.code == "long-hose")
    assert hoses.where == "hoses of saw guard, spar lathe drop" and len(hoses.findings) == 2
    graver = tuple(one._replace(severity="fault") for one in hoses.findings)
    assert len(conditions_of(graver, design)) == 2
