"""The quick cards in the session: on a screen too small to design in, by digits, Enter and arrows."""

from __future__ import annotations

from tests.tui.screen_text import screen_text, session, shows
from tui.app import KerfdraftApp
from tui.draw.big import big
from tui.pages.field.cards import CardsScreen


async def test_a_pitot_traverse_is_taken_at_40_by_15(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=(40, 15)) as pilot:
        await pilot.press("E", "right", *"125", "enter", "enter", *"200")
        await shows(pilot, "4 mm in")  # the first of six places: 0.032 of the bore
        await shows(pilot, "1 reading so far; 1 way across are 6")
        assert "air 1." in screen_text(app)
        for reading in ("210", "220", "220", "210", "200"):
            await pilot.press("enter", *reading)
        await pilot.press("enter")
        await shows(pilot, ">way 2, 1")
        await pilot.press("up")
        await shows(pilot, "speed 18.7 m/s")  # sqrt(2 x 210 / 1.2) by hand
        assert "m3/h flow" in screen_text(app)
        await pilot.press("backspace", "backspace", "backspace")
        await shows(pilot, "5 readings so far; 1 way across are 6")
        await pilot.press("x")
        await shows(pilot, "readings: 'x' has 'x' where")
        await pilot.press("escape")
        await shows(pilot, "needs 60 x 18")


async def test_cards_want_no_design():
    app = KerfdraftApp(None)
    async with app.run_test(size=(60, 18)) as pilot:
        await pilot.press("E", *"1000", "enter", *"150")
        await shows(pilot, "pressure 148 Pa")  # 1000 m3/h in 150 mm: 15.7 m/s, by hand
        assert isinstance(app.screen, CardsScreen)


def test_large_figures_are_three_rows_of_one_width():
    rows = big("-12.5 m/s")
    assert len(rows) == 3 and len({len(row) for row in rows}) == 1 and rows[2].endswith(" m/s")
    assert big("6ft 5/8in")[2] == "6ft 5/8in"
