"""The panes at work in the session: keys in, the document and the screen out."""

from __future__ import annotations

import pytest

from engine.design.places import COLLECTOR, DESIGN, GateSetAt, PieceAt, RunAt, SizeAt
from engine.files.design_file import loads
from tests.shops import two_drops
from tests.tui.screen_text import screen_rows, screen_text, session, shows, wait_until
from tui import app as app_module
from tui.pages.workbench import Workbench
from tui.panes.results import curve

USUAL = (80, 24)


@pytest.fixture(autouse=True)
def _own_folders(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.delenv("NO_COLOR", raising=False)


async def test_the_cursor_of_the_tree_is_the_selection(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        document = app.document
        await pilot.press("j", "j")
        assert document.selection == PieceAt(0, 1)
        await pilot.press("h")
        assert document.selection == RunAt(0)
        await pilot.press("left")
        await shows(pilot, "► main")
        assert "straight 1.2 m" not in screen_text(app)
        await pilot.press("l", "l", "k", "g")
        assert document.selection == COLLECTOR
        await pilot.press("G")
        assert document.selection == DESIGN
        document.select(SizeAt(0, 1))
        await shows(pilot, "2 spiral/125")
        assert any("125, bore 125 mm" in row for row in screen_rows(app))


async def test_a_filter_narrows_the_tree_and_escape_takes_it_off(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await pilot.press("slash")
        await shows(pilot, "filter:")
        await pilot.press("m", "a", "g", "enter")
        await shows(pilot, "1 ducts /mag/")
        tree = "\n".join(row[:39] for row in screen_rows(app))
        assert "planer drop" not in tree and "magnet trap" in tree
        assert app.document.selection == PieceAt(2, 1)
        await pilot.press("escape")
        await shows(pilot, "▼ planer drop")


async def test_every_good_keystroke_applies_and_all_are_one_step(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        document, first = app.document, app.document.design
        await pilot.press("j", "e", "7")
        await shows(pilot, "[7")
        assert document.design.runs[0].pieces[0].length.text == "7 m"
        await pilot.press("full_stop", "5", "k")
        await shows(pilot, "! '7.5k'")
        assert document.design.runs[0].pieces[0].length.si == 7.5
        await pilot.press("backspace", "enter")
        await shows(pilot, "e edit")
        assert document.undo_name == "length of straight of main"
        await pilot.press("ctrl+z")
        assert document.design == first and document.undo_name is None


async def test_escape_restores_and_leaves_no_step(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        first = app.document.design
        await pilot.press("j", "e", "9", "escape")
        await shows(pilot, "[1.2 m")
        assert app.document.design == first and app.document.undo_name is None
        await pilot.press("escape")
        await wait_until(pilot, lambda: app.screen.focused is app.screen.ducts)


async def test_what_will_not_do_stays_visible_and_gives_way_to_what_was_there_when_the_field_is_left(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        app.document.select(PieceAt(0, 1))
        await pilot.press("e", "4", "5", "x", "enter")
        await shows(pilot, "Esc puts back")
        assert "[45x" in screen_text(app) and app.document.design.runs[0].pieces[1].angle.text == "45 deg"
        await pilot.press("down")
        await shows(pilot, "kept 90 deg")
        assert app.document.design.runs[0].pieces[1].angle.text == "90 deg"


async def test_a_run_moves_only_when_the_name_is_complete(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        app.document.select(RunAt(3))
        first = app.document.design
        await pilot.press("2", "j", "e", *"main")
        await shows(pilot, "[main ")
        assert app.document.design == first
        await pilot.press("enter")
        assert next(run for run in app.document.design.runs if run.id == "lathe drop").joins == "main"
        await shows(pilot, "branch 45 deg")


async def test_an_edit_marks_what_it_moved_until_the_next_key(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, "speed ")
        await pilot.press("j", "e", "9")
        await wait_until(pilot, lambda: any("->" in row and "flow" in row for row in screen_rows(app)[11:22]))
        await pilot.press("right")
        await wait_until(pilot, lambda: not any("->" in row for row in screen_rows(app)[11:22]))


async def test_fields_are_chosen_stepped_and_toggled(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        document = app.document
        document.select(PieceAt(0, 1))
        await pilot.press("2", "j", "right_square_bracket")
        assert document.design.runs[0].pieces[1].toward == "up"
        document.select(RunAt(2))
        await shows(pilot, "2 main 2")
        await pilot.press("minus")
        await shows(pilot, "? spiral/125 -> spiral/100")
        assert document.design.runs[2].size == "spiral/125"
        await pilot.press("enter")
        assert document.design.runs[2].size == "spiral/100"
        document.select(GateSetAt(0))
        await shows(pilot, "[ ] lathe")
        await pilot.press("j", "j", "space")
        assert document.design.gate_sets[0].open == ("planer", "lathe")
        await shows(pilot, "[x] lathe")


async def test_results_lead_to_places_and_gate_sets(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, "speed ")
        await pilot.press("3", "j", "j", "j", "enter")
        assert app.document.selection == RunAt(1)
        await pilot.press("right", "down", "enter")
        assert app.document.gate_set_index == 1
        await shows(pilot, "> both")
        await pilot.press("1", "t")
        await shows(pilot, "[where]")
        await pilot.press("3", "right_square_bracket")
        await shows(pilot, "lathe/hood: ")


async def test_moving_the_selection_solves_nothing(tmp_path, monkeypatch):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await pilot.press("T")
        await shows(pilot, "meet at")
        for module, name in ((app_module, "assess"), (curve, "curves")):
            monkeypatch.setattr(module, name, lambda *_: pytest.fail("solved for a move of the selection"))
        await pilot.press("j", "j", "j", "G", "g", "t")
        await shows(pilot, "supplies")


@pytest.mark.parametrize("size", [(60, 18), (80, 24), (109, 24), (110, 30)], ids=str)
async def test_the_three_panes_fit_every_size(tmp_path, size):
    app = session(tmp_path)
    async with app.run_test(size=size) as pilot:
        await shows(pilot, ", slow ")
        rows = screen_rows(app)
        assert len(rows) == size[1] and all(len(row) <= size[0] for row in rows)
        for title in ("1 ducts", "2 main", " 3 ", "[now] sets  where  curve", "? help  q quit"):
            assert title in "\n".join(rows)
        assert "1 ducts" in rows[1] and ("[now]" in rows[1]) == (size[0] >= 110)


async def test_an_enlarged_pane_fills_the_body_and_follows_the_focus(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await pilot.press("3", "z")
        await wait_until(pilot, lambda: "1 ducts" not in screen_text(app))
        assert screen_rows(app)[1].startswith("╔ 3 results") and len(screen_rows(app)[1]) == 80
        await pilot.press("2")
        await wait_until(pilot, lambda: screen_rows(app)[1].startswith("╔ 2 main"))
        await pilot.press("escape")
        await shows(pilot, "1 ducts")


async def test_without_colour_the_state_still_shows(tmp_path, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    app = session(tmp_path, colors="none")
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, ", slow ")
        assert isinstance(app.screen, Workbench)
        strips = app.screen._compositor.render_strips()
        styles = [segment.style for strip in strips for segment in strip if segment.style]
        assert all(color is None or color.is_default for style in styles for color in (style.color, style.bgcolor))
        cursor = [segment for segment in strips[5] if segment.style and segment.style.reverse]
        assert "main" in "".join(segment.text for segment in cursor)
        text = screen_text(app)
        assert "shut  -" in text and " *" in text and "╔ 1 ducts" in text


async def test_names_are_never_markup(tmp_path):
    app = session(tmp_path, text=two_drops.TEXT.replace('"planer gate"', '"[/x] [red]gate"'))
    async with app.run_test(size=USUAL) as pilot:
        app.document.select(PieceAt(1, 0))
        await shows(pilot, "gate [/x] [red]gate")


async def test_half_a_value_is_not_saved(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        before = app.document.path.read_text()
        await pilot.press("j", "e", "2", "5", "x", "ctrl+s")
        await shows(pilot, "not saved:")
        assert app.document.path.read_text() == before
        await pilot.press("escape", "ctrl+s")
        assert loads(app.document.path.read_text()) == loads(before)


async def test_the_first_paint_has_every_pane_and_row(tmp_path, monkeypatch):
    app, painted = session(tmp_path), []
    monkeypatch.setattr(app, "painted", lambda: painted.append(screen_text(app)))
    async with app.run_test(size=USUAL) as pilot:
        await wait_until(pilot, lambda: bool(painted))
        assert all(text in painted[0] for text in ("Lantern joinery", "1 ducts", "▼ collector", "2 main", "3 results", "q quit"))
