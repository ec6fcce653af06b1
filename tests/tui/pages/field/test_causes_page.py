"""What is wrong, on the field page: the list beside the readings, the reading that tells most asked for, and what to mind before what to look at."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from engine.design import gate_sets_of
from engine.field.causes.suspects import NOTHING
from engine.field.sheet import Stop, spot_of_stop, stop_at, stops
from engine.field.spots import Spot
from engine.field.taking import reading_at
from engine.files.design_file import dumps, loads
from engine.report.causes import notes, rests_on
from tests.shops.measured_shops import DAY, measured
from tests.shops.one_drop import TEXT
from tests.tui.screen_text import screen_text, session, shows, wait_until
from tui.work.session import Page

SHOP = measured(loads(TEXT))


async def test_a_fault_is_followed_reading_by_reading_at_40_by_15(tmp_path):
    app = session(tmp_path, text=dumps(SHOP))
    async with app.run_test(size=(60, 18)) as pilot:
        await wait_until(pilot, lambda: app.up_to_date)
        app.open(Page.CAUSES)
        await shows(pilot, "asked for")
        await pilot.resize_terminal(40, 15)
        await shows(pilot, "asked for")
        await wait_until(pilot, lambda: "weighing" not in screen_text(app))
        shown, asked = screen_text(app), app.screen.sheet.walk.asked
        assert "nothing read yet" in shown and "nothing wrong" in shown and "it leaves the least doubt" in shown
        # Nothing typed is nothing taken, and no way on: what is typed next is of this stop.
        await pilot.press("enter")
        await shows(pilot, "nothing is typed")
        assert app.screen.sheet.walk.asked == asked and app.screen.sheet.walk.why
        # Far below the baseline: something is wrong, and another reading is asked for.
        value = f"{0.4 * app.screen.sheet.walk.foreseen(asked.stop).expected:.0f}"
        await pilot.press(*value, "enter")
        await wait_until(pilot, lambda: app.screen.sheet.walk.asked != asked and "weighing" not in screen_text(app))
        taken = app.document.design.readings[-1]
        assert (taken.what, taken.value, taken.baseline) == (asked.stop.what, f"{value} Pa", None)
        assert app.screen.causes._found.causes[0].cause != NOTHING
        # The list is read to its end, its likeliest cause first.
        await pilot.press("tab")
        await wait_until(pilot, lambda: app.screen.causes.has_focus and app.screen.causes.item.leads == 0)
        seen, whole = screen_text(app), [*notes(app.document.design, app.screen.causes._found), *rests_on(SHOP, app.screen.causes._found)]
        for _ in app.screen.causes.stops()[1:]:
            await pilot.press("down")
            seen += screen_text(app)
        assert all(word in seen for text in whole for word in text.split())
        ((last, _),) = app.screen.causes.item.lines[0]
        assert whole[-1].endswith(last.strip()) and last in screen_text(app)
        # Cautions stand before what to look at.
        await pilot.press("home", "enter")
        await shows(pilot, "what to look at")
        await wait_until(pilot, lambda: "Lock off before you" in screen_text(app))
        # Esc goes one step at a time.
        await pilot.press("escape", "escape")
        await wait_until(pilot, lambda: "what is wrong ─" not in screen_text(app) and "test sheet" in screen_text(app))
        await pilot.press("u")
        await wait_until(pilot, lambda: len(app.document.design.readings) == len(SHOP.readings))


async def test_what_is_typed_stays_at_its_stop_when_another_is_asked_for(tmp_path):
    app = session(tmp_path, text=dumps(SHOP))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("X", "down", *"90", "c")
        sheet = app.screen.sheet
        stop = sheet.walk.stop
        assert sheet.walk.edit.text == "90c"  # a letter is typed behind a figure
        await pilot.press("backspace")
        sheet.action_causes()
        await shows(pilot, "nothing wrong")
        await wait_until(pilot, lambda: "weighing" not in screen_text(app))
        assert sheet.walk.edit.text == "90" and sheet.walk.stop == stop
        await pilot.press("escape")
        await shows(pilot, "asked for")
        # A stop gone to by hand is not left for another one that is asked for; what was read there says when.
        await pilot.press("down")
        stop, asked = sheet.walk.stop, replace(sheet.walk.asked, stop=sheet.walk.stops[-1])
        await shows(pilot, f"on {DAY}: AS EXPECTED")
        sheet.asks_for(asked)
        await shows(pilot, "c goes there")
        assert sheet.walk.stop == stop and not sheet.walk.edit.text
        await pilot.press("c")
        assert sheet.walk.stop == asked.stop and sheet.walk.at_asked


def test_a_place_is_the_stop_of_the_sheet_that_is_there():
    design, (gate_set,) = SHOP, gate_sets_of(SHOP)
    for stop in stops(design, gate_set):
        assert stop_at(design, gate_set, stop.what, spot_of_stop(design, stop)) == stop
    assert stop_at(design, gate_set, "suction", Spot(run="main", distance=0.7)) == Stop("suction", at="main", distance=0.7)
    assert stop_at(design, gate_set, "speed", Spot(port="saw/hood")) == Stop("speed", port="saw/hood")
    reading = reading_at(design, gate_set, Stop("suction", at="main", distance=0.7), "900 Pa", date(2026, 3, 2))
    assert (reading.at, reading.from_collector.si) == ("main", 0.7)
