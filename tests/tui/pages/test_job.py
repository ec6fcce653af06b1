"""The way through the job: where each page stands, which is next, and the way there and back. Shops are invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from engine import load
from engine.checks.assess import assess
from engine.design import LogEntry
from engine.report.job import ORDER, next_of, stands
from tests import SAVED_DESIGNS
from tests.tui.screen_text import screen_rows, screen_text, session, shows, wait_until
from tui import commands
from tui.pages.job import PAGES, WAY

TODAY = date(2026, 11, 29)


@pytest.fixture(autouse=True)
def _own_folders(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


def test_the_next_step_is_the_first_that_is_not_done():
    flawed = assess(load(SAVED_DESIGNS / "signal_box.toml"))
    found = stands(flawed, TODAY)
    assert found["faults"].told == f"{flawed.count('fault')} faults, {flawed.count('caution')} cautions" and next_of(found) == "faults"
    mended = load(SAVED_DESIGNS / "signal_box_mended.toml")
    assert next_of(stands(assess(mended), TODAY)) == "bought"
    bought = replace(mended, runs=tuple(replace(run, state="bought") for run in mended.runs))
    assert next_of(stands(assess(bought), TODAY)) == "hung" and stands(assess(bought), TODAY)["hung"].told == f"0 of {len(mended.runs)} runs hung"
    hung = assess(replace(mended, runs=tuple(replace(run, state="hung") for run in mended.runs)))
    assert next_of(stands(hung, TODAY)) == "read" and stands(hung, TODAY)["read"].told.startswith("0 of ")


def test_upkeep_names_what_is_due():
    mended = load(SAVED_DESIGNS / "signal_box_mended.toml")
    before = stands(assess(mended), TODAY)["upkeep"]
    done = stands(assess(replace(mended, log=(LogEntry(date=TODAY, text="filter: shaken"),))), TODAY)["upkeep"]
    assert before.told.endswith(" due") and before != done


def test_every_page_has_a_key_and_every_next_step_a_page():
    stations = [station for _, pages in WAY for _, station in pages if station]
    assert set(ORDER) <= set(stations) and len(set(stations)) == len(stations)
    assert all(command.keys and command in commands.WORKBENCH for command in PAGES)


@pytest.mark.parametrize("size", [(80, 24), (60, 18)], ids=str)
async def test_one_key_shows_the_way_and_another_goes_it(tmp_path, size):
    app = session(tmp_path)
    async with app.run_test(size=size) as pilot:
        await pilot.press("A")
        await shows(pilot, "the way through the job")
        await shows(pilot, "<- next")
        await shows(pilot, "Esc back")
        assert all(len(row) <= size[0] for row in screen_rows(app))
        await pilot.press("O")
        await wait_until(pilot, lambda: type(app.screen).__name__ == "PartsScreen")
        await pilot.press("escape", "A")
        await shows(pilot, "the way through the job")
        await pilot.press("enter")
        await wait_until(pilot, lambda: "the way through the job" not in screen_text(app))
