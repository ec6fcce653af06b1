"""The test sheet in the session: readings by keys, on small screens too."""

from __future__ import annotations

from datetime import date

from engine.field.spots import ALL_SHUT
from engine.field.verdicts import AS_EXPECTED, verdicts
from engine.files.design_file import dumps, loads
from tests import SAVED_DESIGNS
from tests.tui.pages.field.commissioning import take
from tests.tui.screen_text import screen_text, session, shows, wait_until

SHED = (SAVED_DESIGNS / "boat_shed.toml").read_text("utf-8")


async def test_a_commissioning_begins_at_40_by_15(tmp_path):
    """Two gate sets of a shop a little other than its design: the gates first, all as expected, at most 6 keys each; a baseline, then a fault."""
    app = session(tmp_path, text=SHED)
    async with app.run_test(size=(40, 15)) as pilot:
        await pilot.press("X", "9")
        await shows(pilot, "set the gates first")
        assert "OPEN: table saw gate" in screen_text(app) and "SHUT: planer gate" in screen_text(app)
        readings, keys = await take(pilot, app.document.design, 2)
        await wait_until(pilot, lambda: len(app.document.design.readings) == readings)
        assert readings == 9 and keys / readings <= 6
        design = app.document.design
        assert {found.verdict for found in verdicts(design, design.readings)} == {AS_EXPECTED}
        assert all(reading.ducts and reading.filter == "used" and reading.date == date.today() for reading in design.readings)
        assert [point.id for point in design.test_points] == ["riser A", "saw cabinet A", "saw guard A", "planer drop A"][: len(design.test_points)]
        assert loads(dumps(design)) == design
        await pilot.press("left", "enter", *"40", "enter", "y", "b")
        await shows(pilot, "y the 8  n none")  # what cannot be was kept, and is no baseline
        assert "8 as expected, 1 impossible left out" in " ".join(screen_text(app).split())
        await pilot.press("y")
        await wait_until(pilot, lambda: sum(bool(reading.baseline) for reading in app.document.design.readings) == 8)
        assert len(app.document.design.readings) == readings + 1
        await pilot.press("left", "down", *"4", "up")
        await wait_until(pilot, lambda: len(app.document.design.readings) == readings + 2)
        await pilot.press("b")
        await shows(pilot, "y the 7  a all 8  n none")
        assert "7 as expected, 1 WRONG, 1 impossible" in " ".join(screen_text(app).split())
        await pilot.press("escape", "u", "u")
        await wait_until(pilot, lambda: not any(reading.baseline for reading in app.document.design.readings))


async def test_what_cannot_be_is_asked_about_and_what_is_no_value_stays(tmp_path):
    app = session(tmp_path, text=SHED)
    async with app.run_test(size=(60, 18)) as pilot:
        await pilot.press("X", "enter", *"99", "enter")
        await shows(pilot, "keep 99 inH2O?")
        assert "whose curve" in screen_text(app) and "y yes  n no" in screen_text(app)
        await pilot.press("n")
        assert not app.document.design.readings
        await pilot.press("backspace", "backspace", "a")
        await shows(pilot, "a reading begins with a digit")
        await pilot.press(*"9 m", "down")
        await shows(pilot, "wanted a pressure")
        assert not app.document.design.readings and "expected" in screen_text(app)
        await pilot.press("escape", *"99", "enter")
        await shows(pilot, "keep 99 inH2O?")
        await pilot.press("y")
        await shows(pilot, "2/5, 1 read")
        await pilot.press("i", *"U-tube", "enter", "v", *"2%", "enter")
        await shows(pilot, "per cent of what?")
        await pilot.press("ctrl+u", *"0.1", "enter")
        await shows(pilot, "U-tube +-0.1 inH2O")
        await pilot.press("escape", "X", "enter")
        await shows(pilot, "U-tube +-0.1 inH2O")
        await pilot.press(*"0.9", "down")
        await wait_until(pilot, lambda: len(app.document.design.readings) == 2)
        taken = app.document.design.readings[1]
        assert (taken.what, taken.instrument, taken.give_or_take, taken.value) == ("filter drop", "U-tube", "0.1 inH2O", "0.9 inH2O")


async def test_what_comes_of_a_quick_card_is_put_into_the_blank_and_ducts_are_tested_for_leaks(tmp_path):
    app = session(tmp_path, text=SHED)
    async with app.run_test(size=(60, 18)) as pilot:
        await pilot.press("X", "down", "down", "down", "E", "down", *"7", "down", *"3000", "escape")
        await shows(pilot, "from the quick card")
        await pilot.press("enter")
        await wait_until(pilot, lambda: len(app.document.design.readings) == 1)
        reading = app.document.design.readings[0]
        assert (reading.what, reading.value) == ("flow", "802 cfm")  # 3000 ft/min in 7 in: 0.2673 ft2, by hand
        await pilot.press("up", "p")
        await shows(pilot, "speed  riser A")
        await pilot.press("l")
        await shows(pilot, "pipe and hose may collapse")
        assert "SHUT all 14 gates" in screen_text(app)
        await pilot.press("enter", *"11", "enter")
        await wait_until(pilot, lambda: len(app.document.design.readings) == 2)
        taken = app.document.design.readings[1]
        assert (taken.what, taken.gate_set) == ("inlet suction", ALL_SHUT.name)
        assert verdicts(app.document.design, [taken])[0].verdict == AS_EXPECTED


async def test_runs_not_hung_are_capped(tmp_path):
    text = SHED.replace('id = "riser"', 'id = "riser"\nstate = "hung"').replace('id = "east main"', 'id = "east main"\nstate = "hung"', 1)
    text = text.replace('id = "planer drop"', 'id = "planer drop"\nstate = "hung"', 1)
    app = session(tmp_path, text=text)
    async with app.run_test(size=(40, 15)) as pilot:
        await pilot.press("X", "s", "down", "down", "down")
        await shows(pilot, "not hung")
        assert "cfm" in screen_text(app)
