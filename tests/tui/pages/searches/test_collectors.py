"""The page of the collectors to choose from: shown with what the present one is asked for, taken and given back. Designs are invented."""

from __future__ import annotations

from tests import SAVED_DESIGNS
from tests.tui.screen_text import screen_text, session, shows, wait_until
from tui.pages.workbench import Workbench

TEXT = (SAVED_DESIGNS / "signal_box_mended.toml").read_text()


async def test_a_choice_is_looked_at_taken_and_undone(tmp_path):
    app = session(tmp_path, text=TEXT)
    async with app.run_test(size=(80, 24)) as pilot:
        await shows(pilot, ", slow ")
        before = app.document.design
        await pilot.press("Q")
        await shows(pilot, "3 choices tried")
        assert "Your collector is too weak. Hardest is sander, bench gate helping" in " ".join(screen_text(app).replace("│", " ").split())
        await pilot.press("enter")
        await shows(pilot, "what changes")
        await pilot.press("enter")
        await wait_until(pilot, lambda: isinstance(app.screen, Workbench))
        assert app.document.design.collector.name in {one.id for one in before.collector_choices}
        await pilot.press("u")
        await wait_until(pilot, lambda: app.document.design == before)
