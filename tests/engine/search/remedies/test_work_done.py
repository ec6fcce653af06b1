"""What is bought or hung is left alone; a run that is freed tells what touching it costs. The shop is invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine import load
from engine.checks.assess import assess
from engine.design import Design
from engine.design.places import PieceAt
from engine.edits import set_field
from engine.edits.resizing import with_size
from engine.parts.price import price_of
from engine.search.layouts.shop import why_no_ducts
from engine.search.proposals import kept_in_words, standing
from engine.search.remedies.change import change
from engine.search.remedies.trials import changes, trial
from engine.search.sizing.plant.choices import choices_of
from engine.units import parse
from tests import SAVED_DESIGNS
from tests.shops.parts_shop import canoe_loft


def with_main(**fields: object) -> Design:
    design = canoe_loft()
    return replace(design, runs=(replace(design.runs[0], **fields), *design.runs[1:]))


def sizes_of_main(design: Design) -> set[str | None]:
    found = choices_of(design)
    return {option.ref for option in found.options[found.runs.index("main")]}


@pytest.mark.parametrize("fields", [{"kept": True}, {"state": "bought"}, {"state": "tested"}])
def test_a_run_that_is_kept_or_bought_is_kept_in_words(fields):
    design = with_main(**fields)
    assert all(run != "main" for one in changes(assess(design)) for run, _ in one.touches)
    assert sizes_of_main(design) == {"spiral/160"} and "main" in kept_in_words(design) and "main" in (why_no_ducts(design) or "")


def test_a_run_that_is_freed_tells_what_touching_it_costs():
    design = with_main(state="hung", kept=False)
    before = assess(design)
    assert sizes_of_main(design) == {"spiral/100", "spiral/160"} and not kept_in_words(design)
    assert any(("main", "size") in one.touches for one in changes(before))
    narrower = change("main: narrower", {("main", "size")}, 1.0, lambda one: with_size(one, ["main"], "spiral/100"))
    remedy = trial([narrower], before, standing(before))
    # What hung was paid for: the smaller pipe is bought on top.
    assert "no longer as bought or hung: main (hung)" in remedy.reason and remedy.effect.price > 0
    assert remedy.standing.price == pytest.approx(price_of(narrower.edit(design)).total + 105.0)


def test_a_branch_that_leans_more_has_room_for_its_fittings():
    design = load(SAVED_DESIGNS / "signal_box.toml")
    before = assess(design)
    [lean] = [one for one in changes(before) if one.title == "sander drop: square tee -> 30 deg"]
    found = trial([lean], before, standing(before))
    assert not found.effect.unmade and "cannot be made" not in found.reason


def test_what_cannot_be_made_says_so_and_comes_behind_what_can():
    design = load(SAVED_DESIGNS / "signal_box.toml")
    before = assess(design)
    short = change("shorter", {("sander drop", 1)}, 1.0, lambda one: set_field(one, PieceAt(5, 1), "length", parse("0.2 m", "length")))
    good = change("longer", {("sander drop", 1)}, 9.0, lambda one: set_field(one, PieceAt(5, 1), "length", parse("1.01 m", "length")))
    made, unmade = (trial([one], before, standing(before)) for one in (good, short))
    assert "cannot be made so: sander drop: the fittings at its ends" in unmade.reason and made.order < unmade.order
