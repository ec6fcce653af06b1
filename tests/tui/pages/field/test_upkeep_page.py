"""The upkeep page: one key ticks a duty off."""

from __future__ import annotations

from datetime import date

from tests.tui.screen_text import screen_text, session, shows, wait_until


async def test_a_duty_is_ticked_off_by_one_key_and_undone_by_another(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=(40, 15)) as pilot:
        await pilot.press("Y")
        await shows(pilot, "upkeep 9 due")
        await pilot.press("j", "j", "j", "x")
        await shows(pilot, "upkeep 8 due")
        assert [(entry.date, entry.text) for entry in app.document.design.log] == [(date.today(), "filter: done")]
        await pilot.press("n", *"belt", "enter")
        await wait_until(pilot, lambda: len(app.document.design.log) == 2)
        await pilot.press("u", "u")
        await shows(pilot, "upkeep 9 due")
        assert not app.document.design.log


async def test_the_trend_and_the_log_below_are_reached_by_keys(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=(40, 15)) as pilot:
        await pilot.press("Y", "j", "j", "j", "enter", *"shaken", "enter")
        await wait_until(pilot, lambda: [entry.text for entry in app.document.design.log] == ["filter: shaken"])
        assert "filter: shaken" not in screen_text(app)
        await pilot.press("G")
        await shows(pilot, f"{date.today()} filter: shaken")
        await pilot.press("x")
        await shows(pilot, "no duty here")
        await pilot.press("k")
        await shows(pilot, "filter: the design does not say")
