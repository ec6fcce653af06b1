"""The interview on a running session: a whole one by its keys, left and gone on with, dropped, and what it refuses."""

from __future__ import annotations

import errno
import os
from dataclasses import replace
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from engine import catalog
from engine.design.consistency import mistakes
from tests.shops import two_drops
from tests.tui.screen_text import screen_rows, screen_text, shows, wait_until
from tui.app import KerfdraftApp
from tui.draw.glyphs import ASCII, LINE
from tui.keep import locked_files
from tui.pages.interview import questions
from tui.pages.interview.files import InterviewFile, unfinished
from tui.pages.interview.screen import InterviewScreen
from tui.pages.interview.sheets import sheet
from tui.terminal.look import Look
from tui.work.document import Document


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


async def press(pilot: Pilot, *keys: str) -> None:
    """Press keys one after the other; what begins with an apostrophe is typed into what has the focus."""
    for key in keys:
        if key.startswith("'"):
            for letter in key[1:]:
                pilot.app.focused.post_message(events.Key(letter, letter))
            await pilot.pause()
        else:
            await pilot.press(key)


async def begin(pilot: Pilot) -> InterviewScreen:
    """Start an interview from the list of designs."""
    await shows(pilot, "new design")
    await press(pilot, "N")
    await shows(pilot, "an interview")
    await press(pilot, "'an interview", "enter")
    await wait_until(pilot, lambda: isinstance(pilot.app.screen, InterviewScreen) and "questions" in screen_text(pilot.app))
    return pilot.app.screen


async def add(pilot: Pilot, kind: str, count: str = "1") -> None:
    """Pick machines of the catalog, from the row that adds them."""
    await press(pilot, "enter")
    await shows(pilot, "machines of the catalog")
    await press(pilot, "'" + kind, "enter")
    await shows(pilot, "how many?")
    await press(pilot, "'" + count, "enter")
    await shows(pilot, "add from the catalog")
    await wait_until(pilot, lambda: pilot.app.focused is pilot.app.screen.sheet)


async def test_a_whole_interview_by_its_keys_ends_in_a_draft_on_the_workbench():
    app = KerfdraftApp(None, Look(glyphs=ASCII))
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begin(pilot)
        await press(pilot, "enter", "j", "enter")  # units: imperial
        await press(pilot, "'Gull Lane", "enter", "j", "enter")  # name; conveyed: fine dust
        assert screen.answers.units == "imperial" and screen.answers.shop.conveying.material == "fine dust"
        await add(pilot, "mitre")
        await add(pilot, "band saw", "2")
        await shows(pilot, "3 machines")
        await press(pilot, "j", "enter")  # go on, to the first machine
        await press(pilot, "enter", "'12ft 6in", "enter", "'5", "enter", "'2.5", "enter", "enter", "enter")
        await press(pilot, *["enter"] * 12)  # the others as they are
        assert [m.east and m.east.text for m in screen.answers.shop.machines] == ["12ft 6in", None, None]
        await press(pilot, "'0 10", "enter", "'400 cfm 9 inH2O", "enter", "'800 0", "enter", "enter")
        await press(pilot, "'6", "enter")  # inlet
        await press(pilot, "'1", "enter", "'2", "enter", "'3", "enter", "'n", "enter", "enter")
        await press(pilot, *["j"] * 3, "enter", "G", "enter")  # US sheet-metal duct, behind the pipe that is sold in inches
        await press(pilot, "'1 + 3", "enter", "enter")
        assert screen.answers.at == "draft"
        await shows(pilot, "make the first draft")
        assert all(len(row) <= 80 for row in screen_rows(app)) and screen_text(app).isascii()
        await press(pilot, "enter")
        await shows(pilot, "1 ducts")
        await shows(pilot, "a first draft, to be edited")
        design = app.document.design
        assert mistakes(design) == () and len([run for run in design.runs if run.ends]) == 3
        assert (design.name, design.display, design.collector.faces) == ("Gull Lane", "imperial", "north")
        assert [made.open for made in design.gate_sets][-1] == ("mitre saw", "band saw 2")
        assert {run.size.split("/")[0] for run in design.runs} == {"sheet metal"}
        assert app.document.unsaved and unfinished() == []
        await press(pilot, "u")
        await wait_until(pilot, lambda: app.document.design.runs == ())


async def test_it_can_be_left_at_any_point_and_gone_on_with():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begin(pilot)
        await press(pilot, "enter", "enter", "'Gull Lane", "enter", "enter")
        await add(pilot, "shaper")
        answers = screen.answers
        await press(pilot, "escape")
        assert app.focused is screen.listed
        await press(pilot, "j", "escape")
        await shows(pilot, "keep for later")
        await press(pilot, "escape")
        await wait_until(pilot, lambda: not screen.asking)
        assert app.screen is screen
        await press(pilot, "escape", "k")
        await wait_until(pilot, lambda: app.screen is not screen)
        (kept,) = unfinished()
        assert kept.answers.shop == answers.shop and kept.answers.at == "machine 0"
    app = KerfdraftApp(None)
    async with app.run_test(size=(120, 36)) as pilot:
        await shows(pilot, "new design")
        await press(pilot, "N")
        await shows(pilot, "go on with Gull Lane")
        await press(pilot, "enter")
        await wait_until(pilot, lambda: isinstance(app.screen, InterviewScreen))
        assert app.screen.answers == kept.answers
        await shows(pilot, "Gull Lane")


async def test_quitting_or_being_stopped_keeps_the_answers_and_dropping_does_not():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        await begin(pilot)
        await press(pilot, "enter", "enter", "escape", "q")
        await wait_until(pilot, lambda: not app.is_running)
    assert len(unfinished()) == 1
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        await shows(pilot, "new design")
        await press(pilot, "N")
        await shows(pilot, "go on with")
        await press(pilot, "enter")
        await wait_until(pilot, lambda: isinstance(app.screen, InterviewScreen))
        await press(pilot, "escape")
        await shows(pilot, "keep for later")
        await press(pilot, "d")
        await wait_until(pilot, lambda: not isinstance(app.screen, InterviewScreen))
    assert unfinished() == []


async def ready_to_draft(pilot: Pilot) -> InterviewScreen:
    """An interview with all that a draft takes, at its last question."""
    screen = await begin(pilot)
    shop = Document.open(pilot_shop()).design
    screen.take(replace(screen.answers.with_shop(replace(shop, runs=(), gate_sets=())), kinds=("",) * len(shop.machines)).with_given("inlet"))
    assert questions.wanted(screen.answers) == {}
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


async def test_an_interview_that_another_session_has_is_not_gone_on_with():
    app = KerfdraftApp(None)
    file = InterviewFile()
    file.keep(questions.with_machines(questions.blank(), catalog.machine_kinds()[24], 1))
    file.leave()
    async with app.run_test(size=(80, 24)) as pilot:
        await shows(pilot, "new design")
        await press(pilot, "N")
        await shows(pilot, "go on with")
        other = InterviewFile(file.path)
        await press(pilot, "enter")
        await shows(pilot, "cannot be gone on with: another session has it")
        other.leave()
    assert len(unfinished()) == 1


async def test_where_it_cannot_be_seen_whether_another_session_has_it_a_copy_is_asked_for(monkeypatch):
    def no_locks(*_):
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(locked_files.fcntl, "flock", no_locks)
    file = InterviewFile()
    file.keep(questions.with_machines(questions.blank(), catalog.machine_kinds()[24], 1))
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        await shows(pilot, "new design")
        await press(pilot, "N")
        await shows(pilot, "go on with")
        await press(pilot, "enter")
        await shows(pilot, "go on with a copy of it?")
        await press(pilot, "y")
        await wait_until(pilot, lambda: isinstance(app.screen, InterviewScreen))
        app.screen.take(questions.with_machines(app.screen.answers, catalog.machine_kinds()[24], 2))
    assert sorted(len(found.answers.shop.machines) for found in unfinished()) == [1, 3]


async def test_nothing_answered_is_left_without_a_question():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begin(pilot)
        await press(pilot, "j", "j", "escape")
        await wait_until(pilot, lambda: app.screen is not screen)
    assert unfinished() == []


async def test_it_starts_over_an_open_design_and_leaves_that_alone(tmp_path):
    path = tmp_path / "shop.toml"
    path.write_text(two_drops.TEXT)
    app = KerfdraftApp(Document.open(path))
    async with app.run_test(size=(80, 24)) as pilot:
        await shows(pilot, "1 ducts")
        design = app.document.design
        await press(pilot, "N")
        await shows(pilot, "an interview")
        await press(pilot, "'an inter", "enter")
        await shows(pilot, "answered")
        await press(pilot, "escape")
        await shows(pilot, "1 ducts")
        assert app.document.design is design


async def test_what_will_not_do_stays_with_its_reason_and_esc_leaves_it_as_it_was():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begin(pilot)
        await press(pilot, *["j"] * 5, "enter", "'12 furlongs")
        await shows(pilot, "has a unit that is not")
        await press(pilot, "enter")
        await shows(pilot, "this will not do yet")
        assert screen.answers.at == "inlet" and "[12 furlongs" in screen_text(app)
        await press(pilot, "escape")
        assert "inlet" not in screen.answers.given
        await press(pilot, "enter", "'6in")
        await shows(pilot, "= 152.4 mm")
        await press(pilot, "enter")
        assert screen.answers.shop.collector.inlet.text == "6in" and screen.answers.at == "place"


async def test_a_pasted_curve_is_a_point_a_line_and_emptying_a_line_takes_it_away():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begin(pilot)
        await press(pilot, *["j"] * 4, "enter")
        screen.sheet.post_message(events.Paste("0 2400\n1000 2150\nflow\n2600 0\n"))
        await shows(pilot, "line 3 left out")
        assert len(screen.answers.shop.collector.curve) == 3
        await press(pilot, "up", "up", "backspace", "enter")
        assert [point.flow.text for point in screen.answers.shop.collector.curve] == ["0 m3/h", "2600 m3/h"]
        await press(pilot, "escape", "u")
        assert len(screen.answers.shop.collector.curve) == 3
        await press(pilot, "U")
        assert len(screen.answers.shop.collector.curve) == 2


async def test_a_machine_taken_away_comes_back_by_undo():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begin(pilot)
        await press(pilot, "j", "j", "j", "enter")
        await add(pilot, "shaper")
        await press(pilot, "escape", "x")
        await shows(pilot, "go to one first")
        await press(pilot, "j", "x")
        await shows(pilot, "without shaper")
        assert screen.answers.shop.machines == ()
        await press(pilot, "u")
        await wait_until(pilot, lambda: len(screen.answers.shop.machines) == 1)


@pytest.mark.parametrize(("size", "glyphs"), [((80, 24), ASCII), ((120, 36), LINE), ((60, 18), LINE)])
async def test_every_question_fits(size, glyphs):
    app = KerfdraftApp(None, Look(glyphs=glyphs))
    async with app.run_test(size=size) as pilot:
        screen = await begin(pilot)
        screen.take(questions.with_machines(screen.answers, catalog.machine_kinds()[24], 9))
        for question in questions.questions(screen.answers):
            screen.go_to(question.key)
            await pilot.pause()
            rows = screen_rows(app)
            assert len(rows) == size[1] and all(len(row) <= size[0] for row in rows)
            assert rows[-1].endswith("? help  q quit")
            made = sheet(screen.answers, question.key)
            assert any(made.rows[made.start].label[:12].strip() in row for row in rows[1:-3]), made.title
            assert glyphs is LINE or screen_text(app).isascii()
