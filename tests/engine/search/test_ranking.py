"""What stands before what: conditions, not the rows that tell of them. Findings are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine import load
from engine.checks.assess import assess
from engine.checks.conditions import mains
from engine.checks.rules import Finding
from engine.design.places import RunAt
from engine.search.layouts.proposing import drafts
from engine.search.placement import order, placements
from engine.search.proposals import standing
from engine.search.ranking import rank_of
from engine.search.sizing.substitution import substitutes
from tests import SAVED_DESIGNS
from tests.shops.small_shops import run, shop


@pytest.fixture(scope="module")
def bare():
    """A main of three runs, the last drop straight on, and a branch; no finding told."""
    runs = [
        run("main", "collector", 160, 1.0), run("main 2", "main", 160, 1.0), run("end", "main 2", 100, 1.0),
        run("drop", "main", 100, 1.0, as_="branch"), run("drop 2", "drop", 100, 1.0),
    ]  # fmt: skip
    return replace(assess(shop(*runs)), findings=())


def rank(bare, *told: tuple[str, str, str], share: float | None = 1.0, price: float = 10.0, gate_set: str | None = "a set"):
    """The rank with findings told as (code, severity, run)."""
    return rank_of(replace(bare, findings=tuple(Finding(*of[:2], RunAt(0), of[2], "", "", "invented", gate_set) for of in told)), share, price)


def test_a_main_is_what_goes_straight_on_from_the_collector_or_a_joint(bare):
    assert mains(bare.design.runs) == {"main": "main", "main 2": "main", "end": "main", "drop": "drop", "drop 2": "drop"}


def test_rows_of_one_main_and_of_several_sets_are_one_condition(bare):
    one = rank(bare, ("fast-run", "caution", "main"))
    assert rank(bare, *[("fast-run", "caution", name) for name in ("main", "main 2", "end", "main")]) == one
    assert rank(bare, ("fast-run", "caution", "main"), ("fast-run", "caution", "drop")) > one
    assert rank(bare, ("fast-run", "caution", "main"), ("long-hose", "caution", "main")) > one


def test_chips_that_settle_along_more_duct_are_worse_than_what_is_fast_and_along_another_main_worse_still(bare):
    def settling(*names: str):
        return rank(bare, *[("slow-run", "fault", name) for name in names])

    few, many = settling("main"), settling(*["main", "main 2"] * 6)
    assert few.settling == many.settling == 1 and (few.settled, many.settled) == (1, 2)
    assert few < rank(bare, ("slow-run", "fault", "main"), ("fast-run", "caution", "drop")) < many < settling("main", "drop")


def test_the_order_of_what_counts(bare):
    """Each of these is worse than all that stand before it together."""
    worse = [
        rank(bare, price=10.0),
        rank(bare, price=11.0),
        rank(bare, ("long-hose", "caution", "drop"), price=1.0),
        rank(bare, ("fast-run", "caution", "drop"), price=1.0),
        rank(bare, ("impossible-suction", "fault", "drop"), price=1.0),
        rank(bare, ("slow-run", "fault", "drop"), price=1.0),
        rank(bare, share=0.95, price=1.0),
        rank(bare, share=0.89, price=1.0),
        rank(bare, share=-0.5, price=1.0),
        rank(bare, share=None, price=1.0),
        rank(bare, ("too-high", "caution", "drop"), price=1.0),
    ]
    assert worse == sorted(worse) and len(set(worse)) == len(worse)
    assert rank(bare, share=1.0 - 1e-7) == rank(bare, share=1.3) == rank(bare)


def test_notes_count_only_at_equal_price_but_for_two_ducts_in_one_place(bare):
    noted = ("capped-end", "note", "drop")
    assert rank(bare) < rank(bare, noted) < rank(bare, price=11.0)
    assert rank(bare).before_notes == rank(bare, noted).before_notes
    assert rank(bare, ("ducts-cross", "note", "drop")) > rank(bare, share=None)


def test_of_equal_conditions_the_hundredths_of_a_need_go_before_the_price(bare):
    assert rank(bare, share=0.97, price=20.0) < rank(bare, share=0.93, price=10.0)


@pytest.mark.parametrize("demo", ["signal_box", "signal_box_mended"])
def test_every_search_keeps_this_order(demo):
    """Drafts and places put what fits the room in front, and less duct behind."""
    design = load(SAVED_DESIGNS / f"{demo}.toml")
    *_, last = substitutes(design, "spiral/125")
    assert [one.standing.rank for one in last.proposals] == sorted(standing(assess(one.design)).rank for one in last.proposals)
    *_, last = drafts(design)
    over_heads = [one.standing.rank.before_notes for one in last.proposals if "benches" not in one.title and "no hose" not in one.reason]
    assert over_heads == sorted(over_heads)
    *_, study = placements(design, spacing=1.5)
    tried = sorted(study.grid.tried, key=order)
    assert study.proposals[0].standing == tried[0].standing
    clear = [spot.standing.rank.before_notes for spot in tried if not spot.troubled]
    assert clear == sorted(clear)
