"""What may come: faults of a dirty filter, and runs whose low end is below settling."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest

from engine import load
from engine.air.bands import bands
from engine.checks.assess import assess
from engine.checks.later import doubtful_runs, faults_of_a_dirty_filter, sets_of_a_dirty_filter
from engine.design import CollectorLoss
from engine.report.assessment import as_text
from tests import SAVED_DESIGNS
from tests.shops.small_shops import machine, run, shop, si


def with_filter(dirty: float | None, state: str | None = None):
    loss = CollectorLoss(name="filter", drop=si(100.0), at=si(0.4), dirty=si(dirty) if dirty else None)
    made = shop(run("only", "collector", 125, 4.0, ends="m/hood"), machines=[machine("m", 125, needs=0.3)])
    return assess(replace(made, collector=replace(made.collector, losses=(loss,), filter=state)))


def test_a_dirty_filter_brings_just_the_faults_that_the_design_has_with_it():
    today, loaded = with_filter(4000.0), with_filter(4000.0, "dirty")
    faults = {(one.code, one.where) for one in loaded.findings if one.severity == "fault"}
    assert faults and not today.has_faults
    assert {(one.code, one.worst.where) for one in faults_of_a_dirty_filter(today)} == faults


def test_gate_sets_that_a_dirty_filter_takes_are_named_where_their_fault_is_there_already():
    """Of the boat shed the riser settles in one set today, and in more with the filter dirty: no new fault, and fewer sets that pass."""
    today = assess(load(SAVED_DESIGNS / "boat_shed.toml"))
    dirty = assess(replace(today.design, collector=replace(today.design.collector, filter="dirty")))
    passing = [{one.gate_set.name for one in of.sets if of.passes(one)} for of in (today, dirty)]
    lost = sets_of_a_dirty_filter(today)
    assert set(lost) == passing[0] - passing[1] and lost and faults_of_a_dirty_filter(today) == ()
    assert f"no more faults; {len(lost)} more gate sets without a pass: {lost[0]}" in " ".join(as_text(today).split())
    assert sets_of_a_dirty_filter(dirty) == () == sets_of_a_dirty_filter(with_filter(110.0))


@pytest.mark.parametrize(("dirty", "state"), [(None, None), (2500.0, "dirty")])
def test_where_nothing_more_can_be_told_nothing_is(dirty, state):
    assert faults_of_a_dirty_filter(with_filter(dirty, state)) is None


def test_a_filter_that_takes_little_brings_no_fault():
    assert faults_of_a_dirty_filter(with_filter(110.0)) == ()


def test_a_run_is_doubtful_where_only_the_low_end_of_its_band_is_below_settling():
    made = shop(run("only", "collector", 125, 4.0, ends="m/hood"), machines=[machine("m", 125, needs=0.1)])
    first = assess(made)
    [band] = bands(made, first.tree, first.sets)
    section = pi / 4 * first.look.widest["only"].bore ** 2
    low, middle = band["m/hood"].low / section, first.sets[0].balance.runs["only"].flow / section
    assert low < 0.99 * middle

    def found(settles: float):
        conveying = replace(made.conveying, settles=si(settles), slow_branch=si(1.1 * settles), slow_main=si(1.2 * settles), fast=si(2.0 * settles))
        assessment = assess(replace(made, conveying=conveying))
        return list(doubtful_runs(assessment, [(assessment.sets[0], band)]))

    [one] = found((low + middle) / 2)
    assert one.run == "only" and one.low == pytest.approx(low) and one.gate_set == first.sets[0].gate_set.name
    assert found(0.95 * low) == [] and found(1.05 * middle) == []
