"""A stocked size looked at before it is taken: which runs, what it would do, and why there is none to step. No screen."""

from __future__ import annotations

from dataclasses import replace
from math import floor

import pytest

from engine import edits, load
from engine.checks.assess import assess
from engine.design.places import COLLECTOR, DESIGN, MachineAt, OutletPieceAt, PieceAt, RunAt, SizeAt
from engine.design.rules.consistency import mistakes
from engine.search.proposals import standing
from tests import SAVED_DESIGNS
from tests.shops import two_drops
from tui.work.fields.size_preview import ALL, MAIN, along, preview, stepped, why_no_size

DEMO = SAVED_DESIGNS / "signal_box.toml"


@pytest.fixture(scope="module")
def full():
    return two_drops.assessed(two_drops.FULL)


@pytest.fixture(scope="module")
def demo():
    return assess(load(DEMO))


def test_a_size_stays_in_its_stock(full):
    assert [stepped(full.design, "spiral/125", by) for by in (-1, 1)] == ["spiral/100", "spiral/160"]
    assert stepped(full.design, "spiral/160", 1) is None and stepped(full.design, "hose/125", 1) is None


def test_what_it_would_do_is_what_it_does(demo):
    shown = preview(demo.design, demo, 0, RunAt(0), "spiral/140")
    after = assess(shown.design)
    old, new = demo.sets[0].balance.runs["main"], after.sets[0].balance.runs["main"]
    assert shown.design.runs[0].size == "spiral/140" and mistakes(shown.design) == ()
    assert shown.effect[0] == f"speed {old.velocity:.1f} -> {new.velocity:.1f} m/s"
    assert shown.effect[1] == f"loss {old.loss:.0f} -> {new.loss:.0f} Pa"
    assert shown.effect[2] == f"neediest plate router {floor(100 * standing(demo).share)} -> {floor(100 * standing(after).share)} %"
    was, now = (sum(one.passes(result) for result in one.sets) for one in (demo, after))
    assert shown.effect[3] == f"{was if was == now else f'{was} -> {now}'} of {len(after.sets)} sets pass"
    for told, severity in zip(shown.effect[4:], ("fault", "caution"), strict=False):
        was, will = demo.count(severity), after.count(severity)
        assert told == (f"{severity}s {was} -> {will}" if was != will else f"{severity}s {was}")
    assert (shown.in_store, shown.name, shown.label) == (False, "size of main: spiral/140", "this run")


def test_the_whole_main_and_all_of_a_size_are_offered_where_they_are_more(demo):
    main = preview(demo.design, demo, 0, RunAt(0), "spiral/125")
    more = along(demo.design, demo, 0, main)
    assert {key: (shown.scope, shown.label) for key, shown in more.items()} == {"M": (MAIN, "whole main")}
    assert more["M"].runs == ("main", "main 2", "main 3", "main 4", "main 5")
    assert more["M"].name == "size of 5 runs: spiral/125"
    after = assess(more["M"].design)
    passing = sum(after.passes(result) for result in after.sets)
    least = floor(100 * standing(after).share)
    assert (
        more["M"].outcome
        == f"neediest {least} %, {passing} of {len(after.sets)} sets pass, faults {after.count('fault')}, cautions {after.count('caution')}"
    )
    drop = preview(demo.design, demo, 0, edits.run_place(demo.design, "planer drop"), "spiral/100")
    every = along(demo.design, demo, 0, drop)
    assert list(every) == ["A"] and every["A"].label == "all 125" and every["A"].scope == ALL
    assert set(every["A"].runs) == {run.id for run in demo.design.runs if run.size == "spiral/125"}


def test_a_shut_run_and_a_hose_tell_what_they_can(full):
    shut = preview(full.design, full, 0, RunAt(2), "spiral/100")
    assert shut.effect[0] == "no air in this gate set"
    place = PieceAt(1, 2)
    larger = replace(full.design.stock[1].sizes[0], nominal="150", bore=full.design.collector.inlet)
    two = edits.insert(full.design, SizeAt(1, 1), larger)
    known, other = assess(two), "hose/150"
    hose = preview(two, known, 0, place, other)
    assert hose.effect[0].startswith("hose loss ") and hose.label == "this hose" and hose.name == f"size of hose of planer drop: {other}"
    assert along(two, known, 0, hose) == {}


def test_a_hose_that_goes_along_is_told(demo):
    drop = preview(demo.design, demo, 0, edits.run_place(demo.design, "planer drop"), "spiral/100")
    assert drop.effect[0] == "with it hose/125 -> hose/100"


def test_a_hose_of_the_duct_outside_has_no_run_to_tell_of(full):
    hose = edits.at(full.design, PieceAt(1, 2))
    place = OutletPieceAt(0)
    design = edits.insert(full.design, place, hose)
    larger = replace(design.stock[1].sizes[0], nominal="150", bore=design.collector.inlet)
    design = edits.insert(design, SizeAt(1, 1), larger)
    assert mistakes(design) == ()
    shown = preview(design, assess(design), 0, place, "hose/150")
    assert shown.effect[0].startswith("neediest ") and along(design, assess(design), 0, shown) == {}
    assert edits.at(shown.design, place).size == "hose/150"


@pytest.mark.parametrize(
    ("place", "why"),
    [
        (DESIGN, "select a run or a hose"),
        (MachineAt(0), "select a run or a hose"),
        (RunAt(0), "main has a bore of its own, 150 mm"),
        (RunAt(1), None),
    ],
)
def test_what_has_no_size_to_step_says_why(full, place, why):
    bare = edits.set_field(full.design, RunAt(0), "bore", edits.at(full.design, COLLECTOR).inlet)
    found = why_no_size(bare, place)
    assert found is None if why is None else why.replace("150 mm", bare.runs[0].bore.text) in found
