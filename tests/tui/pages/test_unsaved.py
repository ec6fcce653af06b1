"""What differs between two designs, in a line."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from engine import edits
from engine.design import Design, GateSet, Straight
from engine.design.differences import summary
from engine.design.places import COLLECTOR, PieceAt, RunAt, SizeAt
from engine.units import parse
from tests.shops.one_drop import design
from tui.keep.journal import LeftBehind
from tui.pages.choosing.unsaved import described
from tui.work.document import Document

ONE_METRE = Straight(length=parse("1 m", "length"))


def longer(shop: Design, run: int = 0) -> Design:
    return edits.insert(shop, PieceAt(run, 1), ONE_METRE)


CASES = {
    "nothing": lambda shop: shop,
    "1 run changed": longer,
    "2 runs changed": lambda shop: longer(longer(shop), 1),
    "1 run removed": lambda shop: edits.delete(shop, RunAt(1)),
    "2 runs in another order": lambda shop: replace(shop, runs=shop.runs[::-1]),
    "1 run added; units changed": lambda shop: replace(shop, runs=(*shop.runs, replace(shop.runs[1], id="new")), display="imperial"),
    "1 run changed, 1 added, 1 removed": lambda shop: edits.set_field(longer(shop), RunAt(1), "id", "other"),
    "1 gate set added": lambda shop: replace(shop, gate_sets=(*shop.gate_sets, GateSet(name="none"))),
    "1 stock changed": lambda shop: edits.set_field(shop, SizeAt(0, 0), "price", 3.0),
    "collector changed": lambda shop: edits.set_field(shop, COLLECTOR, "swirl", 0.1),
    "name changed; notes changed": lambda shop: replace(shop, name="other", notes="a note"),
}  # fmt: skip


@pytest.mark.parametrize("wanted", CASES)
def test_the_differences_are_counted(wanted):
    assert summary(design(), CASES[wanted](design())) == wanted


def test_what_was_left_behind_is_told_with_its_last_edit_and_its_day_unless_that_is_today(tmp_path):
    document, noon = Document(design()), datetime(2025, 6, 3, 12, 3)
    left = LeftBehind(Path("x"), longer(design()), noon, "length of straight 2 of main")
    assert described(document, left, noon) == "1 run changed; last edit: length of straight 2 of main, 12:03"
    assert described(document, left, noon + timedelta(days=1)).endswith("main, 03 Jun 2025 12:03")
    assert described(document, replace(left, last_edit=""), noon) == "1 run changed; last edit at 12:03"


def test_that_the_file_is_newer_is_told(tmp_path):
    document = Document(design())
    document.save_as(tmp_path / "a.toml")
    earlier, later = (datetime.now() + timedelta(minutes=by) for by in (-5, 5))
    told = [described(document, LeftBehind(Path("x"), longer(design()), when, "")) for when in (earlier, later)]
    assert "written after" in told[0] and "written after" not in told[1]


def test_which_of_several_it_is_and_that_a_time_ahead_of_the_clock_says_nothing():
    document, noon = Document(design()), datetime(2025, 6, 2, 12, 3)
    left = LeftBehind(Path("x"), longer(design()), noon, "", rank=1, count=2)
    assert described(document, left, noon).startswith("1 of 2, the newest first: 1 run changed; ")
    assert described(document, left, noon - timedelta(hours=1)).endswith("12:03, which is ahead of the clock")
