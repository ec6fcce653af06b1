"""The pilot of a session looks often whether the session has come to rest; styles are parsed once; a design file to work on."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest
from textual import app, pilot
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet

from tests.shops.one_drop import design
from tui.work.document import Document

SOON = 0.004  # seconds; what is to come sooner than this is waited for
_RULES: dict[tuple, list[RuleSet]] = {}


async def at_rest(*_: float) -> None:
    """Until nothing waits to be done in the loop of the session, and nothing will soon."""
    loop = asyncio.get_running_loop()
    while True:
        await asyncio.sleep(0)
        if not loop._ready:
            next_time = min((timer.when() for timer in loop._scheduled if not timer.cancelled()), default=float("inf"))
            if next_time > loop.time() + SOON:
                return
            await asyncio.sleep(next_time - loop.time())


@pytest.fixture(autouse=True)
def pilot_looks_often(monkeypatch):
    """As it comes, Textual's pilot sleeps at least 40 ms for every key, and takes a session for idle that is kept from the processor."""
    for module in (app, pilot):
        monkeypatch.setattr(module, "wait_for_idle", at_rest)


@pytest.fixture(autouse=True)
def styles_are_parsed_once(monkeypatch):
    """All sessions have the same: what Textual keeps for one of them is kept for the next."""
    parse = Stylesheet._parse_rules

    def rules(self: Stylesheet, css: str, **rest: object) -> list[RuleSet]:
        key = (css, tuple(rest.items()), tuple(self._variables.items()))
        if key not in _RULES:
            _RULES[key] = parse(self, css, **rest)
        return _RULES[key]

    monkeypatch.setattr(Stylesheet, "_parse_rules", rules)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """The small shop's file, alone in its folder."""
    (tmp_path / "shop").mkdir()
    Document(design()).save_as(tmp_path / "shop" / "a.toml")
    return tmp_path / "shop" / "a.toml"
