"""From the answers of an interview to its draft, in the session."""

from __future__ import annotations

import errno
import os
from dataclasses import replace
from pathlib import Path
from threading import Event
from threading import enumerate as threads

import pytest
from textual.pilot import Pilot

from engine.survey import answers as survey
from tests.shops import two_drops
from tests.tui.pages.test_interview import typed
from tests.tui.pages.test_interview_session import begin, press
from tests.tui.screen_text import screen_text, shows, wait_until
from tests.waiting import LIMIT
from tui.app import KerfdraftApp
from tui.keep import locked_files
from tui.pages.interview.files import unfinished
from tui.pages.interview.screen import InterviewScreen
from tui.work.document import Document


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


async def ready_to_draft(pilot: Pilot) -> InterviewScreen:
    """An interview with all that a draft takes, at its last question."""
    screen = await begin(pilot)
    shop = Document.open(pilot_shop()).design
    screen.take(replace(screen.answers.with_shop(replace(shop, runs=(), gate_sets=())), kinds=("",) * len(shop.machines)).with_given("inlet"))
    assert survey.wanted(screen.answers) == {}
    screen.go_to("draft")
    screen.answer()
    await shows(pilot, "make the first draft")
    return screen


def pilot_shop() -> Path:
    path = Path("pilot.toml")
    path.write_text(two_drops.TEXT)
    return path


async def test_the_answers_stay_until_the_draft_is_kept(monkeypatch):
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await ready_to_draft(pilot)
        write = locked_files.replaced

        def full(where, *rest, **options):
            if where.name.endswith(locked_files.ENDING):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            return write(where, *rest, **options)

        monkeypatch.setattr(locked_files, "replaced", full)
        await press(pilot, "enter")
        await shows(pilot, "1 ducts")
        assert app.document.unsaved
    (left,) = unfinished()
    assert left.answers.shop == screen.answers.shop


async def test_a_draft_of_answers_that_have_changed_meanwhile_is_dropped(monkeypatch):
    let_go, begun = Event(), Event()

    def slowly(answers):
        yield answers.shop, "one main, 1 of 2"
        begun.set()
        assert let_go.wait(LIMIT)
        yield answers.shop, "two mains, 2 of 2"

    monkeypatch.setattr("tui.pages.interview.screen.drafting", slowly)
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await ready_to_draft(pilot)
        await press(pilot, "enter")
        await shows(pilot, "drafting: one main, 1 of 2")
        assert begun.wait(LIMIT)
        screen.take(screen.answers.with_shop(replace(screen.answers.shop, name="another")))
        came: list[object] = []
        monkeypatch.setattr(screen, "_hand_over", lambda *made: came.append(made))
        let_go.set()
        await wait_until(pilot, lambda: not any(thread.name == "beside" for thread in threads()))
        await pilot.pause()
        assert app.screen is screen and came == []


async def test_a_draft_that_is_made_behind_another_page_waits_for_it_to_be_left(monkeypatch):
    let_go = Event()

    def slowly(answers):
        assert let_go.wait(LIMIT)
        yield answers.shop, ""

    monkeypatch.setattr("tui.pages.interview.screen.drafting", slowly)
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await ready_to_draft(pilot)
        await press(pilot, "enter", "question_mark")
        await wait_until(pilot, lambda: app.screen is not screen)
        let_go.set()
        await wait_until(pilot, lambda: not any(thread.name == "beside" for thread in threads()))
        await pilot.pause()
        assert screen.is_attached and unfinished() == []
        await press(pilot, "escape")
        await shows(pilot, "1 ducts")
        assert app.document.design.machines == screen.answers.shop.machines


async def test_doors_and_windows_of_the_interview_are_drawn_on_a_draft_and_on_the_plan():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await ready_to_draft(pilot)
        answers = survey.without_machine(screen.answers, 1)
        for question, label, said in (
            ("room", "floor", "9 x 7"), ("doors", "door 1", "south 1 0.9"), ("free", "place 1", "north 3 1.2"),
            ("free", "place 2", "bench 4, 0.4 1 x 0.7 x 0.9"),
        ):  # fmt: skip
            answers = typed(answers, question, label, said)
        screen.take(answers)
        screen.answer()
        await press(pilot, "enter")
        await shows(pilot, "1 ducts")
        assert {"open door", "window", "bench"} <= {zone.kind for zone in app.document.design.site.zones}
        await press(pilot, "L")
        await wait_until(pilot, lambda: getattr(getattr(app.screen, "pane", None), "proposal", None) is not None)
        await press(pilot, "enter")
        await wait_until(pilot, lambda: "before and after" in screen_text(app) and "_____" in screen_text(app))
        await press(pilot, "escape", "escape")
        await shows(pilot, "1 ducts")
        await press(pilot, "p")
        await wait_until(pilot, lambda: "north is up" in screen_text(app) and "bench" in screen_text(app))
