"""Keys whose bytes come slowly, that no keyboard of ours sends, or that never end, in a real terminal."""

from __future__ import annotations

import pytest

from tests.tui.terminal.demo import TEXT, kept, open_demo, select_first_straight
from tests.tui.terminal.pty_session import QUIET, PtySession

FAST = "from tui.terminal import sequences; sequences.PASTE_PAUSE = 0.3"


def send_slowly(session: PtySession, *parts: bytes) -> None:
    for part in parts:
        session.send(part)
        session.settle(QUIET)


@pytest.mark.parametrize("parts", [(b"\x1b[", b"B"), (b"\x1bO", b"B"), (b"\x1b[1", b";", b"1", b"B")])
def test_a_slow_arrow_is_an_arrow_and_never_its_letters(home, parts):
    with open_demo(home) as session:
        select_first_straight(session)
        send_slowly(session, *parts)
        session.wait_for(lambda text: "2 straight of main" not in text and "q quit" in text)
        session.send("q")
        assert session.wait_exit() == 0


@pytest.mark.parametrize("unknown", [b"\x1b[99d", b"\x1b[>1;2;3x", b"\x1bOd", b"\x1b[1d\x1b[2x\x1b[3d"])
def test_a_sequence_that_is_no_key_does_nothing(home, unknown):
    with open_demo(home) as session:
        select_first_straight(session)
        session.settle(QUIET)
        before = session.text
        send_slowly(session, unknown)
        assert session.text == before
        session.send("q")
        assert session.wait_exit() == 0
    assert kept(home) == [] and (home / "signal_box.toml").read_text() == TEXT


def test_a_paste_without_an_end_leaves_the_session_its_keys(home):
    with open_demo(home, before=FAST) as session:
        select_first_straight(session)
        send_slowly(session, b"\x1b[200~dxd")
        assert "not saved" not in session.text
        session.settle(0.6)
        session.send("q")
        assert session.wait_exit() == 0
