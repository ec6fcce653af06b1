"""The test sheet in the session: readings by keys, on small screens too."""

from __future__ import annotations

from datetime import date

from engine.design import AS_DESIGNED
from engine.field.verdicts import AS_EXPECTED, verdicts
from engine.files.design_file import dumps, loads
from tests import SAVED_DESIGNS
from tests.tui.pages.field.commissioning import take
from tests.tui.screen_text import screen_text, session, shows, wait_until
from tui.pages.field.readings import ReadingsScreen

SHED = (SAVED_DESIGNS / "boat_shed.toml").read_text("utf-8")


async def test_a_commissioning_begins_at_40_by_15(tmp_path):
    """Two gate sets of a shop a little other than its design: every reading as expected, at most 6 keys each; a baseline, then a fault."""
    app = session(tmp_path, text=SHED)
    async with app.run_test(size=(40, 15)) as pilot:
        await pilot.press("X")
        await shows(pilot, "by the design")
        readings, keys = await take(pilot, app.document.design, 2)
        await wait_until(pilot, lambda: len(app.document.design.readings) == readings)
        assert readings == 9 and keys / readings <= 6
        design = app.document.design
        assert {found.verdict for found in verdicts(design, design.readings)} == {AS_EXPECTED}
        assert all(reading.ducts and reading.filter == "used" and reading.date == date.today() for reading in design.readings)
        assert [point.id for point in design.test_points] == ["riser A", "saw cabinet A", "saw guard A", "planer drop A"][: len(design.test_points)]
        assert loads(dumps(design)) == design
        await pilot.press("left", "left", "b")
        await shows(pilot, "baseline: 9 of today's readings")
        await pilot.press("t")
        await shows(pilot, "the collector's curve:")
        assert app.document.design.tuned.on and app.document.design.tuned.readings == 9
        await pilot.press("escape")
        await shows(pilot, "cautions · tuned")
        await pilot.press("T")
        await shows(pilot, "by the design's own figures again")
        await pilot.press("u", "u")
        await wait_until(pilot, lambda: app.document.design.tuned == AS_DESIGNED)
        await shows(pilot, "AS EXPECTED")
        await pilot.press("4")
        await shows(pilot, "WRONG")
        await pilot.press("escape", "u")
        await wait_until(pilot, lambda: not any(reading.baseline for reading in app.document.design.readings))


async def test_what_cannot_be_is_asked_about_and_what_is_no_value_stays(tmp_path):
    app = session(tmp_path, text=SHED)
    async with app.run_test(size=(60, 18)) as pilot:
        await pilot.press("X", *"99", "enter")
        await shows(pilot, "keep 99 inH2O?")
        await pilot.press("n")
        assert not app.document.design.readings
        await pilot.press("backspace", "backspace", *"9 m", "enter")
        await shows(pilot, "wanted a pressure")
        assert not app.document.design.readings and isinstance(app.screen, ReadingsScreen)
        await pilot.press("escape", *"99", "enter")
        await shows(pilot, "keep 99 inH2O?")
        await pilot.press("y")
        await shows(pilot, "2/5, 1 read")
        await pilot.press("i", *"U-tube", "enter", "v", *"0.1", "enter", *"0.9", "enter")
        await wait_until(pilot, lambda: len(app.document.design.readings) == 2)
        taken = app.document.design.readings[1]
        assert (taken.instrument, taken.give_or_take, taken.value) == ("U-tube", "0.1 inH2O", "0.9 inH2O")


async def test_runs_not_hung_are_capped(tmp_path):
    text = SHED.replace('id = "riser"', 'id = "riser"\nstate = "hung"').replace('id = "east main"', 'id = "east main"\nstate = "hung"', 1)
    text = text.replace('id = "planer drop"', 'id = "planer drop"\nstate = "hung"', 1)
    app = session(tmp_path, text=text)
    async with app.run_test(size=(40, 15)) as pilot:
        await pilot.press("X", "s", "down", "down")
        await shows(pilot, "not hung")
        assert "cfm" in screen_text(app)
