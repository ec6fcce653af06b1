"""The frame on a running session: questions, pages, refusals and what the screens are told."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from pathlib import Path

import pytest

from engine.design.places import CONVEYING, ROOM, RunAt
from tests.shops.one_drop import TEXT
from tests.waiting import LIMIT
from tui.app import KerfdraftApp
from tui.draw.lines import text_of
from tui.pages.choosing.palette import PaletteScreen
from tui.pages.frame.frame import FrameScreen
from tui.pages.frame.key_line import KeyLine
from tui.pages.frame.question_line import Choices, QuestionLine, TextAnswer
from tui.pages.frame.status_line import StatusLine
from tui.pages.frame.title_line import TitleLine
from tui.pages.reading.help import HelpScreen
from tui.work.document import Document

SIZE = (80, 24)


@pytest.fixture
def path(tmp_path: Path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "shop.toml").write_text(TEXT)
    return tmp_path / "shop.toml"


async def until(holds: Callable[[], bool]) -> None:
    """Wait for a predicate to hold, but not for ever."""
    ends = asyncio.get_running_loop().time() + LIMIT
    while not holds():
        assert asyncio.get_running_loop().time() < ends, "not within the time limit"
        await asyncio.sleep(0.005)


def row(app: KerfdraftApp, kind: type) -> str:
    return text_of(app.screen.query_one(kind)._lines[0]) if app.screen.query_one(kind)._lines else ""


def ready(app: KerfdraftApp) -> bool:
    """Whether all is shown, results too where there is a design."""
    shown = isinstance(app.screen, FrameScreen) and app.screen.is_mounted and bool(app.screen.query(KeyLine)) and "quit" in row(app, KeyLine)
    return shown and (app.opened is None or app.up_to_date)


async def test_adding_asks_in_the_status_row_and_gives_the_focus_back(path):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app))
        before = app.focused
        await pilot.press("a")
        await until(lambda: app.screen.asking)
        await pilot.press("g")
        await until(lambda: app.document.undo_name == "add gate of main")
        await until(lambda: app.focused is before)
        await until(lambda: "gate" in row(app, TitleLine) and "not saved" in row(app, TitleLine))


async def test_while_a_question_stands_no_other_key_acts_and_escape_leaves_it(path):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app))
        before, place = app.document.design, app.document.selection
        await pilot.press("x")
        await until(lambda: app.screen.asking)
        await pilot.press("m", "j", "d", "u", "s", "q", "x", "enter", "tab", "question_mark", "colon", "ctrl+s", "ctrl+q", "f1")
        assert app.screen.asking and app.is_running and len(app.screen_stack) == 2
        assert app.document.design is before and app.document.selection == place and app.document.undo_name is None
        assert "leave it" in row(app, KeyLine)
        await pilot.press("escape")
        await until(lambda: not app.screen.asking)
        assert app.document.design is before
        await pilot.press("x")
        await until(lambda: app.screen.asking)
        await pilot.press("y")
        await until(lambda: not app.document.design.runs)


async def test_a_name_that_will_not_do_stays_to_be_mended(path):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app))
        app.document.select(RunAt(1))
        await pilot.press("r")
        await until(lambda: app.screen.asking)
        answer = app.screen.query_one("TextAnswer")
        answer.value = "main"
        await pilot.press("enter")
        await until(lambda: "main" in row(app, StatusLine))
        assert app.screen.asking and answer.value == "main"
        answer.value = "saw drop"
        await pilot.press("enter")
        await until(lambda: app.document.design.runs[1].id == "saw drop")
        assert not app.screen.asking


async def test_why_a_command_cannot_be_used_is_said_until_the_next_key(path):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app))
        await pilot.press("u")
        await until(lambda: "nothing to undo" in row(app, StatusLine))
        await pilot.press("j")
        await until(lambda: "nothing to undo" not in row(app, StatusLine))


async def test_pages_open_and_close_without_losing_the_focus(path):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app))
        before, workbench = app.focused, app.screen
        for key, name in (("?", "HelpScreen"), ("H", "CautionsScreen"), (":", "PaletteScreen"), ("o", "FilesScreen")):
            await pilot.press(key)
            await until(lambda: type(app.screen).__name__ == name and ready(app))
            await pilot.press("escape")
            await until(lambda: app.screen is workbench)
            assert app.focused is before


@pytest.mark.parametrize(("key", "name"), [("V", "BoresScreen"), ("H", "CautionsScreen")])
async def test_a_page_of_text_has_help_in_front_of_it(path, key, name):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app))
        app.document.select(RunAt(0))
        await pilot.press(key)
        await until(lambda: type(app.screen).__name__ == name and ready(app))
        page = app.screen
        await pilot.press("?")
        await until(lambda: type(app.screen).__name__ == "HelpScreen" and ready(app))
        assert page.help_text.split(":")[0] in str(app.screen.text())
        await pilot.press("?")
        await until(lambda: app.screen is page)


async def test_the_palette_carries_out_what_is_chosen(path):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app))
        await pilot.press("ctrl+p")
        await until(lambda: type(app.screen).__name__ == "PaletteScreen" and ready(app))
        app.screen.query_one("Typed").value = "imperial"
        await pilot.pause()
        await pilot.press("enter")
        await until(lambda: app.document.system == "imperial")


async def test_the_palette_has_the_commands_without_a_key(path):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app))
        await pilot.press("ctrl+p")
        await until(lambda: type(app.screen).__name__ == "PaletteScreen" and ready(app))
        app.screen.query_one("Typed").value = "walls"
        await pilot.pause()
        await pilot.press("enter")
        await until(lambda: app.document.selection == ROOM)


@pytest.mark.parametrize("key", ["p", "M", "V", "R", "D", "L", "P", "n", "O", "H", "Z", "question_mark", "colon", "o", "N"])
async def test_every_page_opens_and_escape_leads_back(path, key):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app))
        workbench = app.screen
        await pilot.press(key)
        await until(lambda: app.screen is not workbench and ready(app) and app.screen.page_title in row(app, TitleLine))
        await pilot.press("escape")
        await until(lambda: app.screen is workbench)


async def test_names_that_look_like_markup_are_shown_as_they_are(path):
    path.write_text(TEXT.replace("small shop", "[red]shop[/x]"))
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE):
        await until(lambda: ready(app) and "[red]shop[/x]" in row(app, TitleLine))


async def test_a_question_in_a_small_terminal_can_still_be_answered(path):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=(50, 12)) as pilot:
        await until(lambda: ready(app))
        assert app.screen.has_class("-too-small")
        app.document.switch_units()
        await pilot.press("q")
        await until(lambda: app.screen.query_one(QuestionLine).asked is not None)
        await pilot.press("d")
        await until(lambda: not app.is_running)


async def test_a_name_that_will_not_do_says_why_where_it_is_typed(path):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app))
        await pilot.press("W")
        await until(lambda: app.screen.asking)
        await pilot.press("ctrl+u", "slash", "enter")
        await until(lambda: "is a folder" in row(app, Choices))
        assert app.screen.asking and app.focused is app.screen.query_one(TextAnswer)


async def test_a_finding_is_accepted_with_a_reason_and_taken_back(path):
    document = Document.open(path)
    app = KerfdraftApp(document)
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app) and app.up_to_date)
        document.select(CONVEYING)
        await pilot.press("exclamation_mark")
        assert "no finding is about what is selected" in row(app, StatusLine)
        await pilot.press("f", "exclamation_mark")
        await until(lambda: app.screen.asking)
        await pilot.press("s", "o", "enter")
        await until(lambda: app.up_to_date and app.assessment.accepted == 1)
        assert document.design.accepted[0].reason == "so"
        app.finding = next(one.key for one in app.assessment.conditions if one.accepted)
        await pilot.press("exclamation_mark")
        await until(lambda: app.up_to_date and app.assessment.accepted == 0)
        assert "counts again" in row(app, StatusLine) and not document.design.accepted


async def test_every_page_has_a_way_back_in_a_small_terminal_and_help_fits_it(path):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=(40, 15)) as pilot:
        await until(lambda: ready(app))
        await pilot.press("Y", "question_mark")
        await until(lambda: isinstance(app.screen, HelpScreen) and not app.screen.too_small)
        assert max(len(line) for line in app.screen.text().plain.splitlines()[1:]) <= 36
        await pilot.press("escape", "escape")
        await until(lambda: app.screen.too_small and app.screen.in_front)
        await pilot.resize_terminal(*SIZE)
        await pilot.press("colon")
        await until(lambda: isinstance(app.screen, PaletteScreen))
        await pilot.resize_terminal(40, 15)
        await until(lambda: app.screen.too_small)
        await pilot.press("escape")
        await until(lambda: not isinstance(app.screen, PaletteScreen))


async def test_help_says_where_one_is_and_a_key_of_another_page_says_that_it_is_none_here(path):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app))
        await pilot.press("2", "question_mark")
        await until(lambda: isinstance(app.screen, HelpScreen))
        assert app.screen.text().plain.splitlines()[0].count("You are in the piece, at main; gates: ") == 1
        await pilot.press("escape", "Y")
        await until(lambda: app.screen.page_title == "upkeep")
        await pilot.press("M")
        await until(lambda: "M, which gates may be open together: not on this page" in row(app, StatusLine))
        await pilot.press("escape", "X")
        await until(lambda: app.screen.page_title == "test sheet")
        await pilot.press("c")  # a key of the page's own, of another meaning than on the main page
        await until(lambda: app.screen.has_class("-causes"))
        assert "not on this page" not in row(app, StatusLine)
