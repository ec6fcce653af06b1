"""The parts page: its tabs, and that it follows the design."""

from __future__ import annotations

from tests.shops.parts_shop import TEXT, canoe_loft
from tests.tui.screen_text import screen_text, session, wait_until
from tui.pages.parts.screen import PartsScreen
from tui.pages.parts.tabs import TABS


async def test_it_shows_parts_cuts_and_places_and_follows_the_design(tmp_path):
    app = session(tmp_path, text=TEXT)

    async def sees(words: str, *, on_page: bool = True) -> None:
        await wait_until(pilot, lambda: isinstance(app.screen, PartsScreen) == on_page and words in screen_text(app))

    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("O")
        await sees("straight, spiral/160, 6 m; 3 sticks, 9 m")
        assert "[parts]" in screen_text(app) and "elbow 90 deg" in screen_text(app)
        await pilot.press("t")
        await sees("cuts from 3 sticks of 3000 mm")
        await pilot.press("right")
        await sees("1. main, spiral/160")
        await pilot.press("e", *"110x", "enter")
        await sees("is no budget")
        await pilot.press("backspace", "enter")
        await sees("no machine works yet")
        await pilot.press("right", "escape")
        await sees("ducts", on_page=False)
        # The elbow away, its two straights meet in a coupling more; undo on the page brings it back.
        await pilot.press("j", "j", "x", "O")
        await sees("2  coupling, spiral/160")
        await pilot.press("u")
        await sees("elbow 90 deg, spiral/160")


def test_every_tab_fits_a_terminal_of_80_columns():
    for tab in TABS:
        for budget in (None, 110.0):
            assert max(map(len, tab.text(canoe_loft(), budget).splitlines())) <= 77
