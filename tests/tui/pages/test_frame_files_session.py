"""Saving, leaving and opening from the session's frame."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from engine.design import Straight
from engine.units import parse
from tests.shops.one_drop import TEXT
from tests.tui.pages.test_frame_session import SIZE, ready, row, until
from tests.tui.screen_text import screen_text, wait_until
from tui.app import KerfdraftApp
from tui.pages.frame.question_line import QuestionLine
from tui.pages.frame.title_line import TitleLine
from tui.panes.results.results_pane import Results
from tui.work.document import Document


@pytest.fixture
def path(tmp_path: Path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "shop.toml").write_text(TEXT)
    return tmp_path / "shop.toml"


async def test_findings_lead_to_their_place(path):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app))
        assert app.assessment.conditions
        await pilot.press("f")
        await until(lambda: app.assessment.conditions[0].brief[:20] in app.status.message)
        counted = [one for one in app.assessment.conditions if one.severity != "note"]
        await pilot.press("F")  # notes are not gone through
        await until(lambda: app.status.message.startswith(f"{len(counted)}/{len(counted)} caution"))


async def test_screens_hear_of_quick_changes_once_with_their_results(path):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE):
        await until(lambda: ready(app))
        heard = []
        post = type(app.screen).post_message

        def listen(message):
            heard.append(type(message).__name__)
            return post(app.screen, message)

        app.screen.post_message = listen
        first = app.assessment
        for _ in range(5):
            app.document.switch_units()
        await until(lambda: app.assessment is not first)
        told = [name for name in heard if name in ("DesignChanged", "SelectionChanged", "GateSetChanged", "ResultsReady")]
        assert told == ["ResultsReady"]
        assert app.assessment.design is app.document.design


async def test_marks_of_an_edit_go_with_the_next_key_and_those_that_it_brings_stay(path):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app))
        results = app.screen.query_one(Results)

        def marked() -> bool:
            return any(role == "changed" for spans in results._lines for _, role in spans)

        design = app.document.design
        length = Straight(length=parse("9 m", "length"))
        app.document.apply("longer", replace(design, runs=(replace(design.runs[0], pieces=(length,)), *design.runs[1:])))
        await until(marked)
        longer = app.assessment
        await pilot.press("u")
        await until(lambda: app.assessment is not longer and app.up_to_date)
        await pilot.pause()
        assert marked()
        await pilot.press("f12")  # which does nothing else
        await until(lambda: not marked())


async def test_quitting_saves_first_when_asked_to(path):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app))
        app.document.switch_units()
        await pilot.press("q")
        await until(lambda: app.screen.asking)
        await pilot.press("s")
        await until(lambda: not app.is_running)
    assert 'display = "imperial"' in path.read_text()
    assert app.return_code == 0


async def test_a_file_changed_by_something_else_is_not_replaced_unasked(path):
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app))
        app.document.switch_units()
        path.write_text(TEXT + "# mine\n")
        await pilot.press("w")
        await until(lambda: app.screen.asking)
        await pilot.press("n")
        await until(lambda: not app.screen.asking)
        assert path.read_text().endswith("# mine\n")
        await pilot.press("w")
        await until(lambda: app.screen.asking)
        await pilot.press("y")
        await until(lambda: not app.document.dirty)
    assert "imperial" in path.read_text() and "# mine" in path.with_name("shop.toml~").read_text()


async def test_opening_another_design_leaves_the_first_one_alone(path):
    other = path.with_name("other.toml")
    other.write_text(TEXT.replace("small shop", "other shop"))
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app))
        first = app.document
        await pilot.press("o")
        await until(lambda: type(app.screen).__name__ == "FilesScreen" and ready(app))
        await pilot.press("enter")
        await until(lambda: app.document is not first and type(app.screen).__name__ == "Workbench")
        await until(lambda: "other shop" in row(app, TitleLine))
        first.switch_units()
        assert app.assessment.design is app.document.design


async def test_a_design_elsewhere_is_opened_by_its_path(path, tmp_path, monkeypatch):
    away = tmp_path / "away" / "shed.toml"
    away.parent.mkdir()
    away.write_text(TEXT)
    monkeypatch.chdir(tmp_path)
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=SIZE) as pilot:
        await until(lambda: ready(app))
        await pilot.press("o")
        await until(lambda: "a file elsewhere" in screen_text(app))
        await pilot.press("end", "enter")
        await wait_until(pilot, lambda: app.screen.asking and QuestionLine in map(type, app.focused.ancestors))
        await pilot.press(*"away/none")
        await wait_until(pilot, lambda: "away/none" in screen_text(app))
        await pilot.press("enter")
        await until(lambda: "there is no file away/none" in screen_text(app))
        for _ in range(4):
            await pilot.press("backspace")
        await pilot.press(*"shed.toml", "enter")
        await until(lambda: app.document.path == Path("away/shed.toml"))
