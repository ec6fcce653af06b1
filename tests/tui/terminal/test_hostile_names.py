"""Names of files, folders and processes that a terminal would obey: wherever the session shows them, they are letters."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import pytest

from tests.shops.one_drop import TEXT
from tests.tui.terminal.demo import KEEPS_AT_ONCE, kept
from tests.tui.terminal.pty_session import PtySession

NAME = "a\x1b]0;obeyed\x07\u202eb"
SHOWN = "a?]0;obeyed??b"


def no_name_obeyed(session: PtySession) -> bool:
    return b"\x1b]0;" not in session.raw and b"obeyed\x07" not in session.raw and "\u202e".encode() not in session.raw


@pytest.fixture
def shop(home: Path) -> Path:
    (home / f"{NAME}.toml").write_text(TEXT)
    return home / f"{NAME}.toml"


def test_the_list_of_designs_shows_names_as_letters(home, shop):
    shop.write_text(TEXT.replace('name = "small shop"\n', ""))  # its name is that of the file
    with PtySession(home=home, size=(100, 24)) as session:
        session.wait_for(SHOWN)
        session.send("q")
        session.wait_exit()
        assert no_name_obeyed(session)


def test_title_prompts_and_last_words_show_names_as_letters(home, shop):
    with PtySession(shop.name, home=home, size=(120, 24), before=KEEPS_AT_ONCE) as session:
        session.wait_for(lambda text: SHOWN in text and "q quit" in text)
        session.send("j")
        session.settle()
        session.send("d")
        session.wait_for("not saved")
        session.send("S")
        session.wait_for(f"{SHOWN}.toml")
        session.send("esc")
        session.settle()
        session.process.send_signal(signal.SIGTERM)
        assert session.wait_exit() == 143
        assert no_name_obeyed(session) and SHOWN.encode() in bytes(session.raw).partition(b"unsaved work is kept in")[2]
    assert len(kept(home)) == 1


def test_a_file_that_cannot_be_opened_is_told_with_its_name_as_letters(home, shop):
    shop.write_text("format = 1\n")
    os.mkfifo(home / f"{NAME}.pipe")
    for name in (shop.name, f"{NAME}.pipe", f"{NAME}/x.toml"):
        with PtySession(name, home=home) as session:
            assert session.wait_exit() == 2
            assert no_name_obeyed(session) and b"kerfdraft: " in session.raw and b"obeyed" in session.raw


@pytest.mark.parametrize(
    "env",
    [{"COLUMNS": "99999999", "LINES": "99999999"}, {"HOME": "", "XDG_STATE_HOME": ""}, {"HOME": "/nonexistent", "XDG_STATE_HOME": "/proc/none"}],
)
def test_an_odd_environment_opens_a_session_all_the_same(home, shop, env):
    with PtySession(shop.name, home=home, env=env, before=KEEPS_AT_ONCE) as session:
        session.wait_for("q quit")
        session.send("j")
        session.settle()
        session.send("d")
        session.wait_for("not saved")
        session.wait_until(lambda: len(kept(home)) == 1)
        session.send("u")
        session.wait_for(lambda text: "not saved" not in text)
        session.send("q")
        assert session.wait_exit() == 0 and b"Traceback" not in session.raw
