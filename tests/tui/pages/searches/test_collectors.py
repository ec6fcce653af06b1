"""The page of the collectors to choose from: shown with what the present one is asked for, taken and given back. Designs are invented."""

from __future__ import annotations

from tests import SAVED_DESIGNS
from tests.shops import two_drops
from tests.tui.pages.test_interview_session import press
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


async def test_a_choice_is_put_in_from_the_page_and_tried_at_once(tmp_path):
    app = session(tmp_path, text=two_drops.TEXT)
    async with app.run_test(size=(80, 24)) as pilot:
        await shows(pilot, "1 ducts")
        await pilot.press("Q", "a")
        await shows(pilot, "one more (name: points; price):")
        await press(pilot, "'drum")
        await pilot.press("enter")
        await shows(pilot, "wanted its name, a colon")
        await press(pilot, "': 0 2800; 2600 0; price 890")
        await pilot.press("enter")
        await shows(pilot, "1 choice tried")
        assert [(one.id, one.price) for one in app.document.design.collector_choices] == [("drum", 890)]
        await pilot.press("escape", "u")
        await wait_until(pilot, lambda: app.document.design.collector_choices == ())
