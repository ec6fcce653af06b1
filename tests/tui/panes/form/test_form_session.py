"""The form at work in the session: arithmetic, sizes looked at before they are taken, points of a curve, reasons."""

from __future__ import annotations

import pytest
from textual import events

from engine import edits
from engine.design.places import COLLECTOR, CURVE, CurvePointAt, PieceAt, RunAt, SizeAt
from tests.tui.screen_text import screen_rows, screen_text, session, shows, wait_until

USUAL = (80, 24)


@pytest.fixture(autouse=True)
def _own_folders(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.delenv("NO_COLOR", raising=False)


async def test_a_size_is_looked_at_from_the_tree_before_it_is_taken(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        document = app.document
        before = document.design
        document.select(PieceAt(2, 0))
        await shows(pilot, "2 straight")
        await pilot.press("minus")
        await shows(pilot, "? spiral/125 -> spiral/100")
        await shows(pilot, "neediest")
        await pilot.press("minus", "plus", "escape")
        assert document.design is before and "? spiral" not in screen_text(app)
        await wait_until(pilot, lambda: app.screen.focused is app.screen.ducts)
        await pilot.press("minus", "j")  # another key leaves it and does no more
        assert document.design is before and "? spiral" not in screen_text(app)
        await wait_until(pilot, lambda: app.screen.focused is app.screen.ducts)
        await pilot.press("minus", "enter")
        assert document.undo_name == "size of main 2: spiral/100"
        await wait_until(pilot, lambda: app.screen.focused is app.screen.ducts)
        await pilot.press("u")
        assert document.design == before


@pytest.mark.parametrize("key", ["question_mark", "f1"])
async def test_help_is_read_beside_a_size_that_is_looked_at(tmp_path, key):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        document, before = app.document, app.document.design
        document.select(PieceAt(2, 0))
        await shows(pilot, "2 straight")
        await pilot.press("minus")
        await shows(pilot, "? spiral/125 -> spiral/100")
        await pilot.press(key)
        await wait_until(pilot, lambda: type(app.screen).__name__ == "HelpScreen")
        await shows(pilot, "The values of what is selected")
        await shows(pilot, "leave it")
        assert "empty the field" not in screen_text(app)
        await pilot.press(key)
        await shows(pilot, "? spiral/125 -> spiral/100")
        await pilot.press("escape")
        await wait_until(pilot, lambda: app.screen.focused is app.screen.ducts)
        assert document.design is before


async def test_one_key_gives_the_size_to_all_runs_that_have_it(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        document, before = app.document, app.document.design
        document.select(RunAt(2))
        await shows(pilot, "2 main 2")
        await pilot.press("minus")
        await shows(pilot, "A all 125, 2 runs: neediest")
        await pilot.press("A")
        assert [run.size for run in document.design.runs] == ["spiral/160", "spiral/100", "spiral/100", "spiral/100"]
        assert document.undo_name == "size of 2 runs: spiral/100"
        document.undo()
        assert document.design == before


async def test_a_size_can_be_looked_at_before_the_results_of_the_last_change_are_there(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        document = app.document
        app.screen.form.focus()
        await pilot.pause()
        after, place = edits.add_branch(document.design, RunAt(0))
        document.apply("branch", after, place)
        document.show_gate_set(1)
        app.screen.form.action_step(-1)  # no message has been handled since
        assert app.screen.form.considering
        await pilot.press("enter")
        assert edits.at(document.design, place).size == "spiral/125"


async def test_a_run_of_its_own_bore_and_the_ends_of_a_stock_say_why(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        document = app.document
        await pilot.press("plus")
        await shows(pilot, "no larger size in spiral")
        document.apply("bore", edits.set_field(document.design, RunAt(0), "bore", document.design.collector.inlet))
        await pilot.press("plus")
        await shows(pilot, "main has a bore of its own, 160 mm: give it a stock size first")
        assert app.screen.focused is app.screen.ducts


async def test_arithmetic_is_computed_echoed_and_kept_as_a_plain_length_and_enter_goes_on(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        document, first = app.document, app.document.design
        document.select(CurvePointAt(1))
        await shows(pilot, "2 curve point 2")
        await pilot.press("e", *"2 x 450")
        await shows(pilot, "[2 x 450     ] 900 m3/h")
        assert document.design.collector.curve[1].flow.text == "900 m3/h"
        await pilot.press("enter")
        assert app.screen.form.field.name == "pressure"
        await pilot.press("e", *"1+1", "escape")
        assert document.design.collector.curve[1].pressure == first.collector.curve[1].pressure
        assert document.undo_name == "flow of curve point 2"
        await pilot.press("u")
        assert document.design == first


async def test_a_figure_typed_on_a_field_begins_its_value_and_runs_no_command(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        document, first = app.document, app.document.design
        document.select(CurvePointAt(1))
        await shows(pilot, "2 curve point 2")
        await pilot.press("tab", *"900", "enter", *"1+1", "escape", "minus", *"3", "escape", "left_parenthesis", "escape")
        form = app.screen.form
        assert app.screen.focused is form and form.field.name == "pressure" and not form.considering
        assert document.design.collector.curve[1].flow.text == "900 m3/h"
        assert document.design.collector.curve[1].pressure == first.collector.curve[1].pressure
        document.select(RunAt(2))
        await shows(pilot, "2 main 2")
        await pilot.press("minus")  # a size that is named is stepped
        await shows(pilot, "? spiral/125 -> spiral/100")
        await pilot.press("escape")


async def test_a_reason_too_long_for_a_row_stays_whole_below_the_fields_until_the_next_key(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        app.document.select(CurvePointAt(1))
        await shows(pilot, "2 curve point 2")
        await pilot.press("e", *"9999", "down")
        form = lambda: " ".join(" ".join(row[40:-1] for row in screen_rows(app)[1:12]).split())  # noqa: E731
        await shows(pilot, "kept ")
        assert "! curve point 3, flow: " in form() and "flows that rise" in form()
        await pilot.press("k")
        await wait_until(pilot, lambda: "flows that rise" not in form())


async def test_the_points_of_a_curve_are_typed_in_one_line_or_pasted_over_one(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        document, before = app.document, app.document.design
        document.select(CURVE)
        await shows(pilot, "2 curve")
        await pilot.press("e", *"0 2000; 900 1500", "enter")
        assert len(document.design.collector.curve) == 2 and document.undo_name == "points of collector"
        await pilot.press("u")
        assert document.design == before
        document.select(CurvePointAt(1))
        await shows(pilot, "2 curve point 2")
        await pilot.press("2", "e", "5")
        app.screen.form.post_message(events.Paste("0 2500\n1000 2200\n2000 1200"))
        await wait_until(pilot, lambda: document.undo_name == "curve of 3 pasted points")
        document.undo()
        assert document.design == before


async def test_a_deleted_stock_size_says_what_becomes_of_its_runs(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        document = app.document
        document.select(SizeAt(0, 1))
        await shows(pilot, "2 spiral/125")
        await pilot.press("x")
        await shows(pilot, "delete spiral/125? planer drop, main 2 keep bore 125 mm")
        await pilot.press("y")
        await shows(pilot, "spiral/125 deleted; planer drop, main 2 keep bore 125 mm")
        assert document.undo_name == "delete spiral/125"


async def test_pasted_points_become_the_curve_in_one_step(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        document = app.document
        document.select(COLLECTOR)
        app.screen.post_message(events.Paste("0 2500\n1000 2200 Pa\n\n2000  1200\n"))
        await wait_until(pilot, lambda: len(document.design.collector.curve) == 3)
        assert [(point.flow.text, point.pressure.text) for point in document.design.collector.curve] == [
            ("0 m3/h", "2500 Pa"), ("1000 m3/h", "2200 Pa"), ("2000 m3/h", "1200 Pa"),
        ]  # fmt: skip
        assert document.undo_name == "curve of 3 pasted points"
        held = document.design
        app.screen.post_message(events.Paste("0 2500\nabc\n2000 1200"))
        await shows(pilot, "line 2")
        assert document.design is held
        document.select(RunAt(0))
        app.screen.post_message(events.Paste("0 2500\n1000 2200"))
        await shows(pilot, "select the collector")
        assert document.design is held


async def test_what_is_typed_is_painted_before_anything_is_solved(tmp_path, monkeypatch):
    app, told = session(tmp_path), []
    async with app.run_test(size=USUAL) as pilot:
        app.document.select(PieceAt(0, 0))
        await shows(pilot, "straight")
        await pilot.press("2", "e")
        await shows(pilot, "accept")
        monkeypatch.setattr(app, "painted", lambda: told.append(app.screen.form.session.up_to_date))
        await pilot.press("7")
        await wait_until(pilot, lambda: app.up_to_date)
        assert told[0] is False and told[-1] is True
