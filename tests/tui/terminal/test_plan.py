"""The plan in a real pseudo-terminal: its bytes, and that it is in parts what a full repaint shows."""

from __future__ import annotations

import shutil
from pathlib import Path
from random import Random

import pytest

from tests import SAVED_DESIGNS
from tests.tui.terminal.demo import cells, repainted
from tests.tui.terminal.pty_session import PtySession

SELECTION, MOVE = 3_000, 5_000
BETWEEN = 0.06  # seconds of rest between two keys


@pytest.fixture
def home(tmp_path: Path) -> Path:
    for name in ("signal_box", "boat_shed"):
        shutil.copy(SAVED_DESIGNS / f"{name}.toml", tmp_path)
    return tmp_path


def opened(home: Path, name: str, *options: str, **rest) -> PtySession:
    """A session with the plan in front."""
    session = PtySession(*options, f"{name}.toml", home=home, **rest)
    session.wait_for("q quit")
    session.send("p")
    session.wait_for("plan, north is up")
    session.settle()
    return session


@pytest.mark.parametrize("name", ["signal_box", "boat_shed"])
def test_a_selection_on_the_plan_stays_within_its_bytes(home, name):
    with opened(home, name) as session:
        for key in ["tab"] * 8 + ["]"] * 3 + ["[", "G", "g"]:
            assert session.sent_for(key, BETWEEN) <= SELECTION, key
        session.send("]")
        for key in ["e", "left", "left", "up", "esc"]:
            assert session.sent_for(key, BETWEEN) <= MOVE, key
        before = session.received
        session.settle(0.6)
        assert session.received == before


def test_what_is_sent_in_parts_is_what_a_full_repaint_shows(home):
    rng = Random(80)
    keys = [*"][vv+-0hjklsSfFeem?uUgG", "tab", "tab", "tab", "up", "down", "left", "right", "enter", "esc", "p", "p"]
    with opened(home, "signal_box") as session:
        for number in range(1, 46):
            session.send(rng.choice(keys))
            session.settle(0.01)
            if number % 15 == 0:
                session.settle()
                in_parts = cells(session)
                assert repainted(session) == in_parts, number
