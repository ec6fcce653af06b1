"""In a real pseudo-terminal: copying, the first words, a file that is not there, hasty keys, and recovery that is never lost."""

from __future__ import annotations

import re
from base64 import b64decode

import pytest

from engine.files.design_file import load
from tests.tui.terminal.demo import DEMO, KEEPS_AT_ONCE, journals, kept, make_unsaved, open_demo, select_first_straight, straights, type_length
from tests.tui.terminal.pty_session import PtySession
from tui.keep.first_days import FEW, HINT


def painted(session: PtySession) -> PtySession:
    """Once the first screen is there."""
    session.wait_for("quit")
    return session


def state(home) -> list:
    """What there is of unsaved work without a file."""
    return journals(home / "state" / "kerfdraft")


# Copying


@pytest.mark.parametrize("env", [{}, {"SSH_CONNECTION": "1 2 3 4"}, {"TMUX": "/tmp/none,1,0"}])
def test_a_value_is_copied_by_the_terminals_own_sequence(home, env):
    with open_demo(home, env=env) as session:
        select_first_straight(session)
        session.send(b"2c")
        session.wait_for("copied: 1.2 m")
        found = re.search(rb"\x1b\]52;c;([A-Za-z0-9+/=]+)\x07", bytes(session.raw))
        assert b64decode(found[1]) == b"1.2 m"
        assert (b"\x1bPtmux;" in session.raw) == ("TMUX" in env)


# First words


def test_the_first_sessions_begin_with_a_line_of_keys_that_the_first_key_takes_away(home):
    count = home / "state" / "kerfdraft" / "sessions"
    count.parent.mkdir(parents=True)
    count.write_text(f"{FEW - 1}\n")
    for greeted in (True, False):
        with open_demo(home) as session:
            assert (HINT in session.wait_for("ducts")) == greeted
            session.send("j")
            session.wait_for(lambda text: HINT not in text and "2 straight of main" in text)
            session.process.terminate()
            session.wait_exit()


def test_a_state_folder_that_cannot_be_had_troubles_nobody(home):
    (home / "file").write_text("")
    with open_demo(home, env={"XDG_STATE_HOME": str(home / "file")}) as session:
        assert HINT not in session.text
        session.send("q")
        assert session.wait_exit() == 0


# A file that is not there


def test_a_file_that_is_not_there_begins_a_new_design_that_is_saved_to_it(home):
    with PtySession("boat_house.toml", home=home) as session:
        session.wait_for("boat_house.toml does not exist: a new design begins")
        session.send("small", "enter")
        session.wait_for("boat house · boat_house.toml · new")
        session.send("ctrl+s")
        session.wait_for("saved boat_house.toml")
        session.send("q")
        assert session.wait_exit() == 0
    assert load(home / "boat_house.toml").name == "boat house"


def test_a_file_that_is_not_there_may_lack_its_ending_and_its_folder_must_be_there(home):
    with PtySession(DEMO.removesuffix(".toml"), home=home) as session:
        session.wait_for(f"· {DEMO} · saved")
    with PtySession("nowhere/shop.toml", home=home) as session:
        assert session.wait_exit() == 2
        assert "there is no folder nowhere" in session.text


def test_work_left_behind_for_a_file_that_was_never_saved_is_offered_at_once(home):
    with PtySession("mine.toml", home=home, before=KEEPS_AT_ONCE) as session:
        session.wait_for("does not exist")
        session.send("small", "enter")
        session.wait_for("mine.toml · new")
        session.send("m")
        session.wait_for("not saved")
        session.wait_until(lambda: len(kept(home)) == 1)
        session.process.kill()
        session.wait_exit()
    with PtySession("mine.toml", home=home) as session:
        session.wait_for("unsaved work on mine.toml")
        session.send("enter")
        session.wait_for("mine.toml · not saved")


# Hasty keys


def test_keys_hard_upon_escape_are_keys_of_their_own(home):
    with open_demo(home) as session:
        select_first_straight(session)
        type_length(session, "9")
        session.send(b"\x1b\x1bjjj")
        session.wait_for(lambda text: "2 straight of main" not in text and "e edit" in text)
        session.settle()
        assert "6 of 77" not in session.text and "8 of 77" in session.text and "· saved" in session.row(0)
        session.send(b"\x1b2\x1bk")
        session.wait_for("7 of 77")


@pytest.mark.parametrize(
    ("burst", "shown"),
    [
        (b"dj", lambda text: "2 cleanout of main" in text and "7 of 78" in text and text.count("straight 1.2 m") == 2),
        (b"xj", lambda text: "2 planer drop" in text and "6 of 76" in text and "cleanout by the stove" in text),
        (b"e7 m\rjj", lambda text: "straight [7 m" in text and "5 of 77" in text),
    ],
)  # fmt: skip
def test_keys_in_one_burst_do_what_they_do_one_by_one(home, burst, shown):
    with open_demo(home) as session:
        select_first_straight(session)
        session.send(burst)
        session.wait_for(shown)
        session.settle()
        assert shown(session.text)


# Questions and recovery


def test_quitting_before_the_offer_is_answered_keeps_it(home):
    with open_demo(home, before=KEEPS_AT_ONCE) as session:
        make_unsaved(session)
        session.wait_until(lambda: len(kept(home)) == 1)
        session.process.kill()
        session.wait_exit()
    for leave in ("q", "esc"):
        with PtySession(DEMO, home=home) as session:
            session.wait_for("unsaved work on")
            session.send(leave)
            if leave == "esc":
                session.wait_for("1 ducts")
                session.send("q")
            assert session.wait_exit() == 0
        assert len(kept(home)) == 1
    with PtySession(DEMO, home=home) as session:
        session.wait_for("unsaved work on")
        session.send("enter")
        session.wait_for("not saved")
        session.send("ctrl+s")
        session.wait_for("saved signal")
    assert straights(load(home / DEMO)) == 2 and kept(home) == []


def test_a_new_design_let_go_leaves_no_copy_to_recover(home):
    with painted(PtySession(home=home, before=KEEPS_AT_ONCE)) as session:
        session.send("N")
        session.wait_for("one machine and its duct")
        session.send("small", "enter")
        session.wait_for("machine drop")
        session.send("m")
        session.wait_for("not saved")
        session.wait_until(lambda: len(kept(home / "state" / "kerfdraft")) == 1)
        session.send("q")
        session.wait_for("unsaved changes:")
        session.send("j", "x", "d")
        assert session.wait_exit() == 0
    assert state(home) == []


def test_the_question_about_replacing_a_file_waits_for_its_answer(home):
    with open_demo(home) as session:
        make_unsaved(session)
        (home / "other.toml").write_text("theirs")
        session.send("W")
        session.wait_for("save as")
        session.send("ctrl+u", "other", "enter")
        session.wait_for("replace other.toml?")
        session.send("x", "u", "w", "q", "enter")
        session.settle()
        assert "replace other.toml?" in session.text and (home / "other.toml").read_text() == "theirs"
        session.send("esc")
        session.wait_for("e edit")
        assert (home / "other.toml").read_text() == "theirs" and "not saved" in session.row(0)
