"""What to take instead of a size: the designs, their order and their figures. Designs are invented."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from engine import load
from engine.checks.assess import assess
from engine.design.rules.consistency import mistakes
from engine.edits import EditError
from engine.report.searches.sizing import as_json, as_text
from engine.search.proposals import standing
from engine.search.sizing.substitution import gains, substitutes
from tests import SAVED_DESIGNS
from tests.shops.sizing_shops import searched
from tests.shops.small_shops import machine, pipe, run, shop

DEMOS = SAVED_DESIGNS


@pytest.fixture(scope="module")
def design():
    return load(DEMOS / "signal_box.toml")


def last(design, what):
    *_, step = substitutes(design, what)
    return step


def test_a_whole_size_goes_out_of_the_store_and_its_runs_are_of_another(design):
    step = last(design, "spiral/125")
    assert {one.size for one in step.proposals} == {"spiral/80", "spiral/100", "spiral/160"}
    for one in step.proposals:
        assert mistakes(one.design) == ()
        assert [run.id for run in one.design.runs if run.size == "spiral/125"] == []
        assert {run.id for run in design.runs if run.size == "spiral/125"} == {
            run.id for run, old in zip(one.design.runs, design.runs, strict=True) if run.size != old.size
        }
        [gone] = [size for stock in one.design.stock if stock.id == "spiral" for size in stock.sizes if size.nominal == "125"]
        assert gone.in_store is False


def test_a_size_that_no_run_has_tells_what_it_would_bring(design):
    idle = replace(design, stock=tuple(
        replace(stock, sizes=tuple(replace(size, in_store=False) if size.nominal == "100" else size for size in stock.sizes))
        if stock.id == "spiral" else stock for stock in design.stock
    ), runs=tuple(replace(run, size="spiral/125") if run.size == "spiral/100" else run for run in design.runs))  # fmt: skip
    *_, step = gains(idle, "spiral/100")
    whole = next(one for one in step.proposals if one.title.startswith("spiral/100 for spiral/125: ") and "runs" in one.title)
    assert mistakes(whole.design) == () and not any(run.size == "spiral/125" for run in whole.design.runs)
    assert all(one.size == "spiral/100" for one in step.proposals) and len(step.proposals) > len(idle.runs) - 3
    [taken] = [size for stock in whole.design.stock if stock.id == "spiral" for size in stock.sizes if size.nominal == "100"]
    assert taken.in_store is not False
    with pytest.raises(EditError, match="no run is of pipe"):
        next(gains(idle, next(f"{stock.id}/{stock.sizes[0].nominal}" for stock in idle.stock if stock.kind == "hose")))


def test_one_run_changes_alone_and_the_size_stays_in_the_store(design):
    step = last(design, "planer drop")
    for one in step.proposals:
        assert [run.id for run, old in zip(one.design.runs, design.runs, strict=True) if run != old] == ["planer drop"]
        assert one.design.stock == design.stock


def test_figures_are_those_of_the_assessed_designs(design):
    before = assess(design)
    for one in last(design, "spiral/125").proposals:
        after = assess(one.design)
        fresh = standing(after)
        assert replace(one.standing, share=None) == replace(fresh, share=None)
        assert one.standing.share == pytest.approx(fresh.share, rel=1e-6)
        for shifts, figure in ((one.speeds, "velocity"), (one.losses, "loss")):
            assert shifts
            for shift in shifts:
                states = [next(r for r in a.sets if r.gate_set.name == shift.gate_set).balance.runs[shift.what] for a in (before, after)]
                assert (shift.before, shift.after) == pytest.approx(tuple(getattr(state, figure) for state in states), rel=1e-6)
        assert {shift.gate_set for shift in one.flows} == {gate_set.name for gate_set in design.gate_sets}


def test_best_first(design):
    for what in ("spiral/125", "spiral/160", "spiral/100"):
        ranks = [one.standing.rank for one in last(design, what).proposals]
        assert ranks == sorted(ranks)


def test_sizes_the_store_has_not_are_not_offered_and_another_family_says_so(design):
    assert all(one.size != "spiral/140" for one in last(design, "spiral/160").proposals)
    other = shop(run("main", "collector", 125, 1.0, ends="saw/hood"), machines=[machine("saw")])
    other = replace(other, stock=(*other.stock, replace(pipe(110), id="sewer")))
    [one] = last(other, "main").proposals
    assert one.size == "sewer/110" and "of another family" in one.reason


@pytest.mark.parametrize(
    ("what", "wanted"),
    [("spiral/140", "no run is made of spiral/140"), ("nonesuch", "is no size of the stock"), ("hose/50", "no run is made of hose/50")],
)
def test_what_cannot_be_replaced_is_refused_in_a_line(design, what, wanted):
    with pytest.raises(EditError, match=wanted):
        last(design, what)


def test_where_the_store_has_nothing_else_it_says_so():
    only = shop(run("main", "collector", 125, 1.0, ends="saw/hood"), machines=[machine("saw")])
    with pytest.raises(EditError, match="no other pipe than pipe/125"):
        last(only, "main")


@pytest.mark.parametrize("demo", ["signal_box", pytest.param("boat_shed", marks=pytest.mark.slow)])
def test_text_fits_80_columns_and_json_reads_back(demo):
    design = load(DEMOS / f"{demo}.toml")
    today = standing(assess(design))
    what = design.runs[0].size
    for step in (searched(demo).last, last(design, what)):
        assert max(map(len, as_text(design, today, step).splitlines())) <= 80
        told = json.loads(as_json(design, today, step))
        assert [one["standing"]["faults"] for one in told["proposals"]] == [one.standing.faults for one in step.proposals]
