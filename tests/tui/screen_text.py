"""The session in tests: opened on a design of its own, its screen read as rows of text.

Golden screens stand in tests/golden. To write them anew after a change that
is meant, run  KERFDRAFT_GOLDEN=write python -m pytest tests/tui/test_panes_golden.py
and read the difference before keeping it.
"""

from __future__ import annotations

import asyncio
import os
from collections.abc import Callable
from pathlib import Path
from time import monotonic

from textual.pilot import Pilot

from tests.shops import two_drops
from tests.waiting import LIMIT
from tui.app import KerfdraftApp
from tui.draw.glyphs import GLYPHS
from tui.terminal.look import Look
from tui.work.document import Document

GOLDEN = Path(__file__).parents[1] / "golden"
AT_REST = 0.02  # seconds without a change


def session(folder: Path, *, text: str = two_drops.TEXT, glyphs: str = "line", colors: str = "auto") -> KerfdraftApp:
    """The app, not yet run, on a file of this text in `folder`."""
    path = folder / "shop.toml"
    path.write_text(text)
    return KerfdraftApp(Document.open(path), Look(glyphs=GLYPHS[glyphs], colors=colors))


def screen_rows(app: KerfdraftApp) -> list[str]:
    """What the compositor shows, row by row, without trailing blanks."""
    return [strip.text.rstrip() for strip in app.screen._compositor.render_strips()]


def screen_text(app: KerfdraftApp) -> str:
    """What the compositor shows, as one text."""
    return "\n".join(screen_rows(app)) + "\n"


async def wait_until(pilot: Pilot, holds: Callable[[], bool]) -> None:
    """Let the session work until `holds` and its screen is at rest; fails with the screen when that never happens."""
    ends = monotonic() + LIMIT
    while monotonic() < ends:
        if not holds():
            await pilot.pause()
            continue
        before = screen_text(pilot.app)
        await asyncio.sleep(AT_REST)
        await pilot.pause()
        if holds() and screen_text(pilot.app) == before:
            return
    raise AssertionError("never happened; the screen:\n" + screen_text(pilot.app))


async def shows(pilot: Pilot, text: str) -> None:
    """Wait until the screen holds `text`."""
    await wait_until(pilot, lambda: text in screen_text(pilot.app))


def compare_with_golden(name: str, found: str) -> None:
    """Compare with tests/golden/NAME.txt, or write it when KERFDRAFT_GOLDEN=write."""
    path = GOLDEN / f"{name}.txt"
    if os.environ.get("KERFDRAFT_GOLDEN") == "write":
        GOLDEN.mkdir(exist_ok=True)
        path.write_text(found)
    assert path.exists(), f"no golden screen {path.name}: see {Path(__file__).name} for how to write it"
    assert found == path.read_text()
