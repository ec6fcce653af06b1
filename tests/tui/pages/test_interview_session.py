"""The interview on a running session: a whole one by its keys, left and gone on with, dropped, and what it refuses."""

from __future__ import annotations

import errno
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from engine import catalog
from engine.survey import answers as survey
from tests.shops import two_drops
from tests.tui.screen_text import screen_rows, screen_text, shows, wait_until
from tui.app import KerfdraftApp
from tui.draw.glyphs import ASCII, LINE
from tui.keep import locked_files
from tui.pages.interview.files import InterviewFile, unfinished
from tui.pages.interview.questions import questions
from tui.pages.interview.screen import InterviewScreen
from tui.pages.interview.sheets.all_sheets import sheet
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
    """Start an interview from the list of designs; its first answer can be typed."""
    await shows(pilot, "new design")
    await press(pilot, "N")
    await shows(pilot, "an interview")
    await press(pilot, "'an interview", "enter")
    await wait_until(pilot, lambda: isinstance(pilot.app.screen, InterviewScreen) and "questions" in screen_text(pilot.app))
    return pilot.app.screen


async def at_question(pilot: Pilot, key: str) -> InterviewScreen:
    """Start an interview and answer one of its questions first."""
    screen = await begin(pilot)
    screen.go_to(key)
    screen.answer()
    await wait_until(pilot, lambda: pilot.app.focused is screen.sheet)
    return screen


async def add(pilot: Pilot, kind: str, count: str = "1") -> None:
    """Pick machines of the catalog, from the row below the one that is typed into."""
    await press(pilot, "down", "enter")
    await shows(pilot, "machines of the catalog")
    await press(pilot, "'" + kind, "enter")
    await shows(pilot, "how many?")
    await press(pilot, "'" + count, "enter")
    await shows(pilot, "from the catalog")
    await wait_until(pilot, lambda: pilot.app.focused is pilot.app.screen.sheet)


async def test_it_can_be_left_at_any_point_and_gone_on_with():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begin(pilot)
        await press(pilot, "enter", "'Gull Lane", "enter")
        screen.go_to("machines")
        screen.answer()
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
        await press(pilot, "enter", "escape", "q")
        await wait_until(pilot, lambda: not app.is_running)
    assert len(unfinished()) == 1
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        await shows(pilot, "new design")
        await press(pilot, "N")
        await shows(pilot, "go on with")
        await press(pilot, "enter")
        await wait_until(pilot, lambda: isinstance(app.screen, InterviewScreen))
        await press(pilot, "escape", "escape")
        await shows(pilot, "keep for later")
        await press(pilot, "d")
        await wait_until(pilot, lambda: not isinstance(app.screen, InterviewScreen))
    assert unfinished() == []


async def test_an_interview_that_another_session_has_is_not_gone_on_with():
    app = KerfdraftApp(None)
    file = InterviewFile()
    file.keep(survey.with_machines(survey.blank(), catalog.machine_kinds()[24], 1))
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
    file.keep(survey.with_machines(survey.blank(), catalog.machine_kinds()[24], 1))
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        await shows(pilot, "new design")
        await press(pilot, "N")
        await shows(pilot, "go on with")
        await press(pilot, "enter")
        await shows(pilot, "go on with a copy of it?")
        await press(pilot, "y")
        await wait_until(pilot, lambda: isinstance(app.screen, InterviewScreen))
        app.screen.take(survey.with_machines(app.screen.answers, catalog.machine_kinds()[24], 2))
    assert sorted(len(found.answers.shop.machines) for found in unfinished()) == [1, 3]


async def test_nothing_answered_is_left_without_a_question():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begin(pilot)
        await press(pilot, "escape", "j", "j", "escape")
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
        await press(pilot, "escape", "escape")
        await shows(pilot, "1 ducts")
        assert app.document.design is design


async def test_what_will_not_do_stays_with_its_reason_and_esc_leaves_it_as_it_was():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_question(pilot, "inlet")
        await press(pilot, "'12 furlongs")
        await shows(pilot, "has a unit that is not")
        await press(pilot, "enter")
        await shows(pilot, "this will not do yet")
        assert screen.answers.at == "inlet" and "[12 furlongs" in screen_text(app)
        await press(pilot, "escape")
        assert "inlet" not in screen.answers.given
        await press(pilot, "enter", "'6in")
        await shows(pilot, "= 152.4 mm")
        await press(pilot, "enter", "enter")
        assert screen.answers.shop.collector.inlet.text == "6in" and screen.answers.at == "choices"


async def test_a_pasted_curve_is_a_point_a_line_and_emptying_a_line_takes_it_away():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_question(pilot, "curve")
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
        screen = await at_question(pilot, "machines")
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
        screen.take(survey.with_machines(screen.answers, catalog.machine_kinds()[24], 2))
        await press(pilot, "escape")
        for question in questions(screen.answers):
            screen.go_to(question.key)
            await pilot.pause()
            rows = screen_rows(app)
            assert len(rows) == size[1] and all(len(row) <= size[0] for row in rows)
            assert rows[-1].endswith("? help  q quit")
            made = sheet(screen.answers, question.key)
            assert any(made.rows[made.start].label[:12].strip() in row for row in rows[1:-3]), made.title
            assert glyphs is LINE or screen_text(app).isascii()


async def test_page_down_takes_what_is_offered_and_page_up_goes_back():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_question(pilot, "room")
        await press(pilot, "'9 x 6", "pagedown")
        assert screen.answers.at == "ceiling" and len(screen.answers.shop.site.room) == 4
        await press(pilot, "pagedown", "pageup", "pageup")
        assert screen.answers.at == "room" and "ceiling" in screen.answers.given
        await press(pilot, "'9 x", "pagedown")
        await shows(pilot, "this will not do yet")
        assert screen.answers.at == "room" and "[9 x" in screen_text(app)


async def test_what_is_bad_in_a_room_is_one_line_and_stays_in_its_field():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_question(pilot, "room")
        await press(pilot, "'9x6", "enter")
        for question, said, reason in (
            ("doors", "s 8.5 0.9", "a door 0.9 m wide from 8.5 m"), ("machines", "saw 12,1", "outside the walls"),
            ("room", "0,0; 9,0; 9,6; 3,-1", "meets the one"),
        ):  # fmt: skip
            screen.go_to(question)
            screen.answer()
            await press(pilot, f"'{said}")
            await shows(pilot, reason)
            await press(pilot, "enter")
            assert screen.answers.at == question and f"{said[-9:]} " in screen_text(app)
        assert len(screen.answers.shop.site.room) == 4 and screen.answers.shop.machines == ()


async def test_a_room_that_is_made_smaller_keeps_every_answer_and_tells_what_no_longer_fits():
    app = KerfdraftApp(None)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await at_question(pilot, "room")
        await press(pilot, "'9x6", "enter")
        screen.take(screen.answers.with_lines("doors", ("s 7 0.9",)))
        screen.take(survey.with_machine(screen.answers, "saw 8,1")[0])
        screen.go_to("room")
        screen.answer()
        await press(pilot, "'5x6", "enter")
        wanted = survey.wanted(screen.answers)
        assert "the south wall is 5 m long" in wanted["doors"] and "outside the walls" in wanted["machine 0"]
        assert screen.answers.lines("doors") == ("s 7 0.9",) and len(screen.answers.shop.machines) == 1
        assert {question.key for question in questions(screen.answers) if question.state == "wanted"} >= {"doors", "machine 0", "draft"}
