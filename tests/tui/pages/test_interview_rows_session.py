"""Moving through the rows of the interview's pages on a running session: what Enter, Page Down, Up and the arrows do, and what is made on the way."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine import catalog
from engine.survey import answers as survey
from tests.tui.pages.test_interview_session import at_question, press
from tests.tui.screen_text import screen_text, shows, wait_until
from tui.app import KerfdraftApp


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


async def test_enter_leads_through_every_row_of_a_page_and_nothing_is_answered_unseen():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_question(pilot, "ceiling")
        await press(pilot, "'2.7", "enter", "'n", *["enter"] * 4)
        assert (screen.answers.at, screen.answers.given & {"doors"}) == ("ceiling", set())
        await press(pilot, "enter", "enter")
        assert screen.answers.at == "doors" and "doors" not in screen.answers.given
        await shows(pilot, "( ) no doors")
        await press(pilot, "enter")
        assert (screen.answers.at, screen.answers.given & {"doors"}) == ("posts", {"doors"})
        screen.take(survey.with_machines(screen.answers, catalog.machine_kinds()[24], 2))
        screen.go_to("machines")
        screen.answer()
        for at in ("machine 0", "machine 1", "together"):
            await press(pilot, "pagedown")
            assert screen.answers.at == at


async def test_enter_behind_the_points_of_a_curve_asks_what_its_pressures_are():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_question(pilot, "curve")
        await press(pilot, "'0 2400; 2600 0", "enter", "enter", "j", "j", "enter")
        assert screen.answers.shop.collector.basis == "fan total"
        await press(pilot, "'150", "enter")
        assert screen.answers.at == "inlet" and screen.answers.shop.collector.outlet.text == "150 mm"
        await press(pilot, "pageup", "enter", "enter")
        assert screen.answers.shop.collector.basis == "fan total", "passing by changes nothing"


async def test_a_line_that_will_not_do_stays_when_the_cursor_or_a_page_is_asked_for():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_question(pilot, "doors")
        await press(pilot, "'south 1 x", "up")
        await shows(pilot, "this will not do yet")
        assert "[south 1 x" in screen_text(app)
        await press(pilot, "f1")
        await wait_until(pilot, lambda: app.screen is not screen)
        await press(pilot, "escape")
        await wait_until(pilot, lambda: app.screen is screen)
        assert "[south 1 x" in screen_text(app)
        await press(pilot, "escape")
        await shows(pilot, "without 'south 1 x'")


async def test_choices_turn_by_left_and_right_and_help_tells_what_a_page_asks():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_question(pilot, "ceiling")
        await press(pilot, "enter", "right", "right", "left", "enter")
        assert screen.answers.shop.site.joists == "east-west"
        await press(pilot, "f1")
        await shows(pilot, "underside")
        assert "Empty: 2 m" in screen.sheet.help_text and "not to the boards" in screen.sheet.help_text


async def test_a_store_file_is_made_of_what_is_marked_and_is_there_for_the_next_shop(folder):
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_question(pilot, "store")
        screen.take(survey.with_family(screen.answers, "spiral"))
        await press(pilot, "down", "'bay.toml")
        await shows(pilot, "= not there yet")
        await press(pilot, "enter")
        await shows(pilot, "+ make bay.toml")
        await press(pilot, "enter")
        await shows(pilot, "bay.toml is written")
        assert "galvanised spiral" in (folder / "bay.toml").read_text() and "store" not in survey.wanted(screen.answers)
