"""The collectors there are to choose from."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.checks.assess import assess
from engine.design import CollectorChoice, CurvePoint
from engine.design.rules.consistency import mistakes
from engine.files.design_file import dumps, load, loads
from engine.search.collectors import choices, with_choice
from engine.search.proposals import standing
from tests import SAVED_DESIGNS
from tests.shops.small_shops import machine, run, shop, si

DEMOS = ("boat_shed", "signal_box", "signal_box_mended")


def points(*pairs):
    return tuple(CurvePoint(flow=si(flow), pressure=si(pressure)) for flow, pressure in pairs)


def one_machine(*offered):
    design = shop(run("only", "collector", 160, 12.0, ends="m/hood"), machines=[machine("m", 160, needs=0.45)])
    return replace(design, collector_choices=offered)


WEAK = CollectorChoice(id="weak", curve=points((0.0, 900.0), (0.3, 600.0), (0.6, 0.0)), price=100.0)
STRONG = CollectorChoice(id="strong", curve=points((0.0, 3900.0), (0.4, 3300.0), (0.9, 100.0)), price=900.0)


def last(design, **rest):
    *_, step = choices(design, **rest)
    return step


@pytest.mark.parametrize("name", DEMOS)
def test_every_choice_of_the_demos_is_tried_and_stands_as_the_design_with_it_does(name):
    design = load(SAVED_DESIGNS / f"{name}.toml")
    found = last(design).proposals
    assert {one.id for one in found} == {one.id for one in design.collector_choices} and len(found) == 3
    assert [one.order for one in found] == sorted(one.order for one in found)
    for one in found:
        assert not mistakes(one.design)
        own = standing(assess(one.design))
        assert own.share == pytest.approx(one.standing.share, rel=1e-6) and own.rank.conditions == one.standing.rank.conditions
        dirty = standing(assess(replace(one.design, collector=replace(one.design.collector, filter="dirty"))))
        assert one.loaded == pytest.approx(dirty.share) and one.order.conditions == dirty.rank.conditions


def test_the_stronger_of_two_serves_better_and_the_cheaper_of_two_alike_comes_first():
    first, second = last(one_machine(WEAK, STRONG)).proposals
    assert (first.id, second.id) == ("strong", "weak") and first.loaded > second.loaded
    dear = replace(STRONG, id="dear", price=1200.0)
    assert [one.id for one in last(one_machine(dear, STRONG)).proposals] == ["strong", "dear"]


def test_a_collector_taken_leaves_the_one_before_to_choose_and_that_brings_it_back():
    design = load(SAVED_DESIGNS / "signal_box.toml")
    [chosen, *_] = design.collector_choices
    taken = with_choice(design, chosen)
    assert taken.collector.name == chosen.id and taken.collector.inlet == chosen.inlet
    before = next(one for one in taken.collector_choices if one.id == design.collector.name)
    again = with_choice(taken, before)
    assert again.collector == design.collector
    assert loads(dumps(again)).collector == design.collector


def test_what_a_sheet_leaves_out_is_the_ordinary_air_its_own_inlet_and_the_losses_there_are():
    design = one_machine(WEAK)
    thin = replace(design, collector=replace(design.collector, density=si(1.0), test_duct=si(0.2)))
    taken = with_choice(thin, WEAK).collector
    assert taken.density is None and taken.test_duct is None
    assert taken.losses == thin.collector.losses and taken.inlet == thin.collector.inlet


def test_a_sheet_that_tells_too_little_is_told_and_not_tried():
    free = CollectorChoice(id="loud", free_air=si(0.9))
    step = last(one_machine(free, STRONG))
    assert [one.id for one in step.proposals] == ["strong"]
    assert step.said.startswith("loud: its sheet gives neither a curve nor free air with largest suction")
    with pytest.raises(ValueError, match="loud"):
        with_choice(one_machine(free), free)
    assert "names no collector" in last(one_machine()).said


def test_what_is_odd_about_a_sheet_is_told_with_it():
    guessed = CollectorChoice(id="guess", free_air=si(0.9), max_suction=si(3000.0))
    straight = CollectorChoice(id="straight", curve=points((0.0, 3900.0), (0.9, 0.0)))
    rising = CollectorChoice(id="rising", curve=points((0.0, 1000.0), (0.5, 2600.0), (0.9, 2700.0)))
    told = {one.id: one.reason for one in last(one_machine(guessed, straight, rising)).proposals}
    assert "every flow is a guess" in told["guess"] and "nobody measured it" in told["straight"] and "it may surge" in told["rising"]


def test_one_that_falls_short_once_its_filter_is_loaded_comes_behind_one_that_does_not():
    [first, second, _] = last(load(SAVED_DESIGNS / "signal_box_mended.toml")).proposals
    assert first.loaded >= 1.0 > second.loaded and first.standing.rank > second.standing.rank


def test_a_filter_goes_with_its_collector():
    design = load(SAVED_DESIGNS / "signal_box.toml")
    bare = next(one for one in design.collector_choices if one.filter_area is None)
    assert design.collector.filter_area is not None
    assert with_choice(design, bare).collector.filter_area is None


def test_the_least_speed_in_the_main_is_that_of_its_slowest_stretch():
    [first, *_] = last(load(SAVED_DESIGNS / "signal_box.toml")).proposals
    slow = [one for one in assess(first.design).findings if one.code == "slow-run" and one.where.startswith("main") and one.measure]
    assert slow and first.slowest_main == pytest.approx(min(one.measure.value for one in slow))


def test_what_no_loaded_filter_is_told_of_says_so():
    assert "what a loaded filter takes is not told" in last(one_machine(STRONG)).proposals[0].reason


def test_with_sizes_of_its_own_no_choice_stands_worse_than_at_todays_ducts():
    design = load(SAVED_DESIGNS / "signal_box_mended.toml")
    plain = {one.id: one for one in last(design).proposals}
    for one in last(design, sized=True).proposals:
        assert one.order <= plain[one.id].order
