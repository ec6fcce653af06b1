"""Pages and late figures in a real pseudo-terminal: what is sent, in which characters, and that it ends."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from tests import SAVED_DESIGNS
from tests.tui.terminal.pty_session import PtySession

CONSOLE = set("─│┌┐└┘├┤┬┴┼═║╔╗╚╝╠╣╦╩╬█▀▄▌▐░▒▓▲▼►◄■○•·°±≤≥≈×²½↑↓←→«»")

PAGES = {"?": "change the design", ":": "type to filter", "M": "with cautions (*)", "p": "plan, north is up"}


@pytest.fixture
def home(tmp_path: Path) -> Path:
    for name in ("signal_box", "boat_shed"):
        shutil.copy(SAVED_DESIGNS / f"{name}.toml", tmp_path)
    return tmp_path


def opened(home: Path, name: str, *options: str) -> PtySession:
    session = PtySession(*options, f"{name}.toml", home=home)
    session.wait_for("q quit")
    return session


def test_a_new_user_is_shown_the_cautions_once_with_the_first_design(home):
    with PtySession("signal_box.toml", home=home, new_user=True) as session:
        session.wait_for(lambda text: "Wood dust causes cancer" in text and "H shows it again" in text)
        session.send("esc")
        session.wait_for("1 ducts")
    with PtySession("signal_box.toml", home=home, new_user=True) as session:
        session.wait_for("1 ducts")
        session.settle(0.1)
        assert "Wood dust causes cancer" not in session.text


@pytest.mark.parametrize("glyphs", ["ascii", "line"])
def test_pages_hold_to_their_glyph_set(home, glyphs):
    allowed = CONSOLE if glyphs == "line" else set()
    with opened(home, "boat_shed", "--glyphs", glyphs) as session:
        for key, wanted in PAGES.items():
            session.send(key)
            session.wait_for(wanted)
            session.send("down", "down", "down")
            session.settle(0.1)
            assert not {letter for letter in session.text if ord(letter) > 126} - allowed, key
            session.send("esc")
            session.wait_for("1 ducts")


def test_bands_come_late_and_then_nothing_more_is_sent(home):
    with opened(home, "boat_shed") as session:
        session.send("t")
        session.wait_for(lambda text: len(re.findall(r"%\+\d+-\d+", text)) > 5)
        session.settle(0.5)
        before = session.received
        session.settle(1.5)
        assert session.received == before


def test_an_edit_with_its_band_stays_within_its_bytes(home):
    with opened(home, "signal_box") as session:
        for _ in range(3):
            session.send("j")
        session.wait_for("flow 1022 +64 -101 m3/h, needs 820")
        session.settle()
        before = session.received
        session.send("y")
        session.wait_for("dirty filter")
        session.settle()
        assert session.received - before <= 5_000
        assert re.search(r"\d \+\d+ -\d+ m3/h", session.text)


def test_machines_that_may_work_together_over_a_terminal(home):
    with opened(home, "boat_shed") as session:
        session.send("M")
        session.wait_for("all 16383 sets of 14 machines")
        session.send("j", "j", "enter")
        session.wait_for("add a gate set with jointer")
        session.send("down", "enter")
        session.wait_for("added gate set jointer + resaw")
        session.send("esc")
        session.wait_for("gates: jointer + resaw 13/13")
        session.send("M")
        session.wait_for("machines at work together")
        session.send("q")
        session.wait_for("unsaved changes:")
        session.send("d")
        assert session.wait_exit() == 0
