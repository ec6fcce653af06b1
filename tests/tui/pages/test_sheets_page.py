"""The page that writes the sheets for the wall."""

from __future__ import annotations

from tests.shops.parts_shop import TEXT
from tests.tui.screen_text import screen_text, session, wait_until
from tui.pages.reading.sheets import SheetsScreen


async def test_it_asks_writes_tells_and_copies_the_path(tmp_path, monkeypatch):
    monkeypatch.setenv("SSH_CONNECTION", "192.0.2.7 50514 192.0.2.1 22")
    app, sent = session(tmp_path, text=TEXT), []
    page = tmp_path / "shop.html"

    async def sees(words: str) -> None:
        await wait_until(pilot, lambda: words in screen_text(app))

    async with app.run_test(size=(100, 24)) as pilot:
        monkeypatch.setattr(app, "copy", lambda text, done: sent.append((text, done)))
        await pilot.press("Z")
        await sees("write to")
        await pilot.press("enter")
        await sees("scp")
        assert page.read_text().startswith("<!DOCTYPE html>")
        assert sent == [(str(page), "written to shop.html; its path is copied")] and "Written to" in screen_text(app)
        # A page that is there is asked for; without a yes it stays, and another name can be given.
        page.write_text("mine")
        await pilot.press("escape")
        await wait_until(pilot, lambda: not isinstance(app.screen, SheetsScreen))
        await pilot.press("Z")
        await sees("write to")
        await pilot.press("enter")
        await sees("replace shop.html?")
        await pilot.press("n")
        await sees("write to")
        assert page.read_text() == "mine" and len(sent) == 1
        await pilot.press("escape")
        await wait_until(pilot, lambda: not isinstance(app.screen, SheetsScreen))
