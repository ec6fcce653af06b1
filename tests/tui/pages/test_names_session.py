"""Names in the prompts of a running session: typed, pasted, or left as they are."""

from __future__ import annotations

import pytest
from textual import events

from engine.design.places import GateSetAt, RunAt
from engine.edits import set_field
from engine.files.design_file import load
from tests.shops.names import STRANGE, UNFIT, code
from tests.tui.screen_text import screen_text, session, shows, wait_until
from tui.pages.frame.question_line import TextAnswer


@pytest.fixture(autouse=True)
def _own_folders(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.chdir(tmp_path)


async def ask(pilot, key: str) -> TextAnswer:
    """Have a prompt, all of its text selected."""
    await pilot.press(key)
    await wait_until(pilot, lambda: pilot.app.screen.asking and isinstance(pilot.app.focused, TextAnswer))
    return pilot.app.focused


@pytest.mark.parametrize("place", [RunAt(2), GateSetAt(1)], ids=["run", "gate set"])
async def test_names_pasted_into_a_prompt_are_kept_and_saved_as_they_are_or_refused_where_they_are_typed(tmp_path, place):
    app = session(tmp_path)
    async with app.run_test(size=(100, 24)) as pilot:
        await shows(pilot, "Lantern")
        document = app.document
        document.select(place)
        for name in [*STRANGE, *(f"a{letter}b" for letter in UNFIT)]:
            answer, before = await ask(pilot, "r"), document.design
            answer.post_message(events.Paste(name))
            await pilot.pause()
            shown = answer.value
            await pilot.press("enter")
            if app.screen.asking:
                assert document.design is before and answer.value == shown and ("/" in name or not name.isprintable())
                await pilot.press("escape")
            else:
                assert name_at(document.design, place) == shown.strip()
                assert shown == name or not name.isprintable()
        await pilot.press("ctrl+s")
        await wait_until(pilot, lambda: not document.unsaved)
        assert load(document.path) == document.design


def name_at(design, place) -> str:
    return design.runs[place.run].id if isinstance(place, RunAt) else design.gate_sets[place.index].name


@pytest.mark.parametrize("name", [name for name in STRANGE if not name.isprintable()], ids=code)
async def test_a_name_that_a_prompt_cannot_show_is_kept_where_nothing_is_typed(tmp_path, name):
    """Pressing Enter on the name that stands there is no change."""
    app = session(tmp_path)
    async with app.run_test(size=(100, 24)) as pilot:
        await shows(pilot, "Lantern")
        app.document.select(RunAt(2))
        app.document.apply("rename", set_field(app.document.design, RunAt(2), "id", name))
        await ask(pilot, "r")
        await pilot.press("enter")
        await wait_until(pilot, lambda: not app.screen.asking)
        assert app.document.design.runs[2].id == name and "\u200d" not in screen_text(app)


async def test_a_file_name_pasted_into_save_as_is_had_or_refused_where_it_is_typed(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=(100, 24)) as pilot:
        await shows(pilot, "Lantern")
        for name in [*STRANGE, *(f"a{letter}b" for letter in UNFIT)]:
            answer = await ask(pilot, "W")
            answer.post_message(events.Paste(name))
            await pilot.pause()
            shown = answer.value
            await pilot.press("enter")
            if app.screen.asking:
                assert answer.value == shown and ("/" in name or not name.isprintable())
                await pilot.press("escape")
            else:
                await wait_until(pilot, lambda: not app.document.unsaved)
                assert app.document.path.name == f"{shown.strip()}.toml" and load(app.document.path) == app.document.design
