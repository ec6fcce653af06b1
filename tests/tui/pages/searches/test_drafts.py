"""Layouts looked at one after the other: plan, side view and figures. The shop is invented."""

from __future__ import annotations

import pytest

from tests.shops import placed_drops
from tests.tui.screen_text import screen_text, session, shows
from tui.pages.searches.proposal import ProposalPane

SIZES = {"80x24": (80, 24), "130x40": (130, 40)}


@pytest.mark.parametrize("size", SIZES)
async def test_a_layout_is_seen_before_it_is_taken_and_the_next_is_a_key_away(tmp_path, size):
    app = session(tmp_path, text=placed_drops.TEXT)
    async with app.run_test(size=SIZES[size]) as pilot:
        await pilot.press("L")
        await shows(pilot, "4 layouts drafted")
        await pilot.press("enter")
        await shows(pilot, "before and after, 1 of ")
        pane = app.screen.query_one(ProposalPane)
        rows = [text for item in pane.list_items(pane.size.width - 2, 30) for text in ["".join(part for part, _ in item.lines[0])]]
        assert any("looking north, west is left" in row for row in rows) and any("street door" in row for row in rows)
        assert max(map(len, rows)) <= pane.size.width
        first = screen_text(app)
        await pilot.press("l")
        await shows(pilot, "before and after, 2 of ")
        assert screen_text(app) != first
        await pilot.press("h")
        await shows(pilot, "before and after, 1 of ")
        await pilot.press("enter")
        await shows(pilot, "taken, u takes it back")
