"""Cheapest, strongest, quietest: each name against every choice that was found, and against all there are. Designs are invented."""

from __future__ import annotations

import pytest

from engine.checks.assess import assess
from engine.design import system
from engine.search.proposals import standing
from engine.search.sizing.plant import plant_of
from engine.units import show
from tests.shops.sizing_shops import every_found, searched, shop_named, small_shop


@pytest.mark.parametrize("name", [*range(20), "signal_box", "signal_box_mended", pytest.param("boat_shed", marks=pytest.mark.slow)])
def test_no_name_is_given_while_a_better_one_was_found(name):
    design, last = shop_named(name), searched(name).last
    keeping = [one for one in searched(name).found if one.off == 0.0]
    names = {aim: one for one in last.proposals for aim in ("cheapest", "least pipe", "strongest", "quietest") if aim in one.title}
    assert bool(names) == bool(keeping) or not last.proposals
    if names:
        cheapest = names.get("cheapest") or names["least pipe"]
        plant = plant_of(design)
        assert plant.prices.total(choice_of(plant, cheapest.design)) == pytest.approx(min(one.price for one in keeping))
        assert names["strongest"].standing.share == pytest.approx(max(one.share for one in keeping), abs=1e-4)
        assert top_speed(names["quietest"].design) == pytest.approx(min(one.top for one in keeping), abs=0.01)
    assert [one.standing.rank.conditions for one in last.proposals] == sorted(one.standing.rank.conditions for one in last.proposals)


def test_a_name_says_where_the_design_as_it_is_is_better():
    told = set()
    for name in (*range(20), "signal_box_mended"):
        design, last = shop_named(name), searched(name).last
        was, fastest = standing(assess(design)), top_speed(design)
        for one in last.proposals:
            better = {
                "cheapest (today's is cheaper)": was.price < one.standing.price - 0.005,
                "strongest (today's is stronger)": was.share > one.standing.share + 5e-4,
                "quietest (today's is quieter)": fastest < top_speed(one.design) - 0.01,
            }
            own = {title: said for title, said in better.items() if title.split()[0] in one.title}
            assert {title for title in own if title in one.title} == {title for title, said in own.items() if said}, one.title
            told |= set(own.items())
    assert len(told) >= 5  # either way for two names, for quietest one


def test_a_fast_run_is_told_beside_todays_and_beside_what_is_fast():
    """Also by sizes that only keep a design free of faults, which say so."""
    told = set()
    for seed in (1, 3, 4, 8):
        design, last = small_shop(seed), searched(seed).last
        units, look = system(design), plant_of(design).choices.look
        today, fast = top_speed(design), max(limits.fast.value for limits in look.limits.values())
        for one in last.proposals:
            top = top_speed(one.design)
            beside = f"fastest run {show(top, 'speed', units)}, today's {show(today, 'speed', units)}"
            is_fast, lenient = top > 1.01 * fast, "asks only for what keeps the design free of faults" in last.said
            assert one.reason.count(f"{beside}, where {look.about(fast, 'speed')} or slower is wanted") == is_fast and beside in one.reason
            assert one.reason.startswith(("keeps every rule", "breaks")) or (lenient and one.reason.startswith("free of faults, not of cautions; "))
            told.add((is_fast, lenient))
    assert {(True, True), (False, False)} <= told


def choice_of(plant, design):
    sizes_of = {run.id: run.size for run in design.runs}
    return tuple(
        next(k for k, option in enumerate(options) if option.ref == sizes_of[run])
        for run, options in zip(plant.choices.runs, plant.choices.options, strict=True)
    )


def top_speed(design):
    return max(state.velocity for result in assess(design).sets for state in result.balance.runs.values() if state.carries)


def test_names_hold_against_every_choice_there_is_on_small_shops():
    """Where every choice can be tried: what local search names is the best of all, but for a few by little."""
    off, named = [], 0
    for seed in range(16):
        design = small_shop(seed)
        keeping = [one for one in every_found(plant_of(design)) if one.off == 0.0]
        last = searched(seed).last
        names = {name: one for one in last.proposals for name in ("strongest", "quietest") if name in one.title and "no faults" not in one.title}
        assert bool(names) == bool(keeping), seed
        if names:
            named += 1
            off.append(max(one.share for one in keeping) - names["strongest"].standing.share)
            off.append(top_speed(names["quietest"].design) - min(one.top for one in keeping))
    assert named > 2 and max(off) < 0.5 and sum(by > 0.01 for by in off) <= len(off) // 5
