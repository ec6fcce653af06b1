"""The plan page in a session: its screens, the selection it shares, the keys that move."""

from __future__ import annotations

import pytest

from engine.design.places import COLLECTOR, MachineAt, PieceAt
from tests.shops import placed_drops
from tests.tui.screen_text import compare_with_golden, screen_rows, screen_text, session, shows, wait_until
from tui.pages.plan import PlanScreen
from tui.pages.workbench import Workbench

SIZES = {"60x18": (60, 18), "80x24": (80, 24), "120x36": (120, 36), "200x60": (200, 60)}
LATHE = MachineAt(1)


@pytest.fixture(autouse=True)
def _own_folders(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.delenv("NO_COLOR", raising=False)


async def opened(pilot, app):
    await shows(pilot, ", slow ")
    await pilot.press("p")
    await wait_until(pilot, lambda: isinstance(app.screen, PlanScreen) and "1 cell =" in screen_text(app) and "q quit" in screen_text(app))


@pytest.mark.parametrize("glyphs", ["line", "ascii"])
@pytest.mark.parametrize("size", ["80x24", "120x36"])
async def test_the_page(tmp_path, size, glyphs):
    app = session(tmp_path, text=placed_drops.TEXT, glyphs=glyphs)
    async with app.run_test(size=SIZES[size]) as pilot:
        await opened(pilot, app)
        compare_with_golden(f"plan_{glyphs}_{size}", screen_text(app))


@pytest.mark.parametrize("size", SIZES)
async def test_the_page_is_complete_at_every_size(tmp_path, size):
    app = session(tmp_path, text=placed_drops.TEXT)
    async with app.run_test(size=SIZES[size]) as pilot:
        await opened(pilot, app)
        for views in range(5):
            rows = screen_rows(app)
            assert len(rows) == SIZES[size][1] and max(map(len, rows)) <= SIZES[size][0]
            for text in ("[C]", "planer", "lathe", "main: 160 mm", "1 cell = ", "? help  q quit"):
                assert any(text in row for row in rows), (text, views)
            await pilot.press("v")
            await pilot.pause()


async def test_tab_selects_as_the_tree_does_and_enter_leads_to_the_form(tmp_path):
    app = session(tmp_path, text=placed_drops.TEXT)
    async with app.run_test(size=SIZES["80x24"]) as pilot:
        await opened(pilot, app)
        await pilot.press("tab", "tab")
        assert app.document.selection == PieceAt(0, 1)
        await shows(pilot, "elbow of main: 160 mm")
        await pilot.press("shift+tab", "right_square_bracket", "right_square_bracket")
        assert isinstance(app.document.selection, MachineAt) or app.document.selection == COLLECTOR
        app.document.select(LATHE)
        await shows(pilot, "lathe: shut, needs 500 m3/h")
        await pilot.press("s")
        await shows(pilot, "of 500 m3/h")
        await pilot.press("enter")
        await wait_until(pilot, lambda: isinstance(app.screen, Workbench) and app.screen.focused is app.screen.form)
        await shows(pilot, "2 lathe")


async def test_a_machine_is_moved_kept_and_taken_back(tmp_path):
    app = session(tmp_path, text=placed_drops.TEXT)
    async with app.run_test(size=SIZES["80x24"]) as pilot:
        await opened(pilot, app)
        app.document.select(LATHE)
        before = app.document.design
        await shows(pilot, "e move")
        await pilot.press("e")
        await shows(pilot, "Enter keep")
        await pilot.press("left", "left")
        await shows(pilot, "lathe 0.2 m west: pipe ends 0.2 m off")
        await pilot.press("space")
        await shows(pilot, "straight of lathe drop 0.2 m longer")
        await pilot.press("K")
        await shows(pilot, "0.5 m north")
        assert app.document.design.machines[1].north.si == pytest.approx(2.94)
        await pilot.press("enter")
        await shows(pilot, "e move")
        assert app.document.undo_name == "move lathe"
        await pilot.press("u")
        await wait_until(pilot, lambda: app.document.design is before)


async def test_escape_restores_first_and_leaves_the_page_then(tmp_path):
    app = session(tmp_path, text=placed_drops.TEXT)
    async with app.run_test(size=SIZES["80x24"]) as pilot:
        await opened(pilot, app)
        app.document.select(COLLECTOR)
        before = app.document.design
        await shows(pilot, "e move")
        await pilot.press("e", "right", "plus")
        await shows(pilot, "0.1 m east, 0.1 m up with all ducts")
        await pilot.press("x", "q")
        await shows(pilot, "Esc restores")
        await pilot.press("escape")
        await shows(pilot, "e move")
        assert app.document.design == before and app.document.undo_name is None and isinstance(app.screen, PlanScreen)
        await pilot.press("escape")
        await wait_until(pilot, lambda: isinstance(app.screen, Workbench))


async def test_what_cannot_move_says_so_and_undo_ends_a_move(tmp_path):
    app = session(tmp_path, text=placed_drops.TEXT)
    async with app.run_test(size=SIZES["80x24"]) as pilot:
        await opened(pilot, app)
        await pilot.press("e")
        await shows(pilot, "only machines, ports and the collector move")
        app.document.select(LATHE)
        await pilot.press("e", "left")
        await shows(pilot, "0.1 m west")
        await pilot.press("ctrl+z")
        await wait_until(pilot, lambda: "moving" not in screen_text(app))
        assert app.document.undo_name is None


async def test_the_wide_results_have_a_tab_with_the_plan(tmp_path):
    app = session(tmp_path, text=placed_drops.TEXT)
    async with app.run_test(size=SIZES["120x36"]) as pilot:
        await shows(pilot, ", slow ")
        await pilot.press("T")
        await shows(pilot, "[plan]")
        assert "[C]" in screen_text(app) and "1 cell = " in screen_text(app)
        await pilot.resize_terminal(80, 24)
        await wait_until(pilot, lambda: "[now]" in screen_text(app))


async def test_zoom_pan_and_fit(tmp_path):
    app = session(tmp_path, text=placed_drops.TEXT)
    async with app.run_test(size=SIZES["80x24"]) as pilot:
        await opened(pilot, app)
        first = screen_text(app)
        await pilot.press("plus", "plus")
        await wait_until(pilot, lambda: screen_text(app) != first)
        await pilot.press("l", "j", "0")
        await wait_until(pilot, lambda: screen_text(app) == first)
