"""Cheapest, strongest, quietest: each name against every choice that was found, and against all there are. Designs are invented."""

from __future__ import annotations

from itertools import product

import pytest

from engine import load
from engine.checks.assess import assess
from engine.design import system
from engine.search.proposals import standing
from engine.search.sizing import local, sizes
from engine.search.sizing.plant import plant_of
from engine.search.sizing.proposing import BestByAim
from engine.units import show
from tests import SAVED_DESIGNS
from tests.shops.sizing_shops import small_shop


def looked_at(design, monkeypatch, **rest):
    """The last step of a search, and every choice it took note of in the last round of rules, as figures."""
    found = []

    def take(best, one):
        if not found or found[-1][0] is not best:
            found.clear()
        found.append((best, one))
        return noted(best, one)

    noted = BestByAim.take
    monkeypatch.setattr(BestByAim, "take", take)
    *_, last = sizes(design, **rest)
    return last, [one for _, one in found]


@pytest.mark.parametrize("design", [
    *(pytest.param(small_shop(seed), id=f"shop {seed}") for seed in range(20)),
    *(pytest.param(load(SAVED_DESIGNS / f"{name}.toml"), id=name) for name in ("signal_box", "signal_box_mended")),
    pytest.param(load(SAVED_DESIGNS / "boat_shed.toml"), id="boat_shed", marks=pytest.mark.slow),
])  # fmt: skip
def test_no_name_is_given_while_a_better_one_was_found(design, monkeypatch):
    last, found = looked_at(design, monkeypatch)
    keeping = [one for one in found if one.off == 0.0]
    names = {name: one for one in last.proposals for name in ("cheapest", "least pipe", "strongest", "quietest") if name in one.title}
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
    for design in (*map(small_shop, range(20)), load(SAVED_DESIGNS / "signal_box_mended.toml")):
        *_, last = sizes(design)
        was, fastest = standing(assess(design)), top_speed(design)
        for one in last.proposals:
            better = {
                "cheapest (today's is cheaper)": was.price < one.standing.price - 0.005,
                "strongest (today's is stronger)": was.share > one.standing.share + 5e-4,
                "quietest (today's is quieter)": fastest < top_speed(one.design) - 0.01,
            }
            own = {name: said for name, said in better.items() if name.split()[0] in one.title}
            assert {name for name in own if name in one.title} == {name for name, said in own.items() if said}, one.title
            told |= set(own.items())
    assert len(told) >= 5  # either way for two names, for quietest one


def test_a_fast_run_is_told_beside_todays_and_beside_what_is_fast():
    """Also by sizes that only keep a design free of faults, which say so."""
    told = set()
    for design in map(small_shop, (1, 3, 4, 8)):
        *_, last = sizes(design)
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


def test_names_hold_against_every_choice_there_is_on_small_shops(monkeypatch):
    """Where every choice can be tried: what local search names is the best of all, but for a few by little."""
    off, named = [], 0
    for seed in range(16):
        design = small_shop(seed)
        plant = plant_of(design)
        every = [local.look(plant, choice) for choice in product(*(range(len(options)) for options in plant.choices.options))]
        keeping = [one for one in every if one.off == 0.0]
        last, _ = looked_at(design, monkeypatch)
        names = {name: one for one in last.proposals for name in ("strongest", "quietest") if name in one.title and "no faults" not in one.title}
        assert bool(names) == bool(keeping), seed
        if names:
            named += 1
            off.append(max(one.share for one in keeping) - names["strongest"].standing.share)
            off.append(top_speed(names["quietest"].design) - min(one.top for one in keeping))
    assert named > 2 and max(off) < 0.5 and sum(by > 0.01 for by in off) <= len(off) // 5
