"""What the line may do to a session: bad bytes, an end, a stop, a storm of sizes, no terminal at all."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from random import Random

import pytest

from tests.tui.terminal.demo import DEMO, KEEPS_AT_ONCE, TEXT, cells, journals, kept, make_unsaved, open_demo, repainted
from tests.tui.terminal.pty_session import PtySession, environment
from tests.waiting import LIMIT, wait_until

ALTERNATE_SCREEN_LEFT = b"\x1b[?1049l"
STATUSES = [(signal.SIGHUP, 129), (signal.SIGINT, 130), (signal.SIGTERM, 143)]


@pytest.mark.parametrize(("number", "status"), STATUSES)
def test_told_to_stop_it_keeps_unsaved_work_and_gives_the_terminal_back(home, number, status):
    with open_demo(home) as session:
        was = session.attributes_at_start
        make_unsaved(session)
        session.process.send_signal(number)
        assert session.wait_exit() == status
        assert ALTERNATE_SCREEN_LEFT in session.raw and b"Traceback" not in session.raw
        assert b"unsaved work is kept in" in session.raw
        assert session.attributes() == was
    assert len(kept(home)) == 1
    assert (home / DEMO).read_text() == TEXT


@pytest.mark.parametrize(("number", "status"), STATUSES)
def test_told_to_stop_with_nothing_unsaved_it_leaves_nothing_and_says_nothing(home, number, status):
    with open_demo(home) as session:
        session.process.send_signal(number)
        assert session.wait_exit() == status
        assert b"kerfdraft:" not in session.raw
    assert journals(home) == []


@pytest.mark.parametrize("ignore_hangup", [False, True], ids=["hangup", "end of input"])
def test_a_terminal_that_goes_away_ends_the_session_and_keeps_the_work(home, ignore_hangup):
    with open_demo(home, ignore_hangup=ignore_hangup) as session:
        make_unsaved(session)
        session.close_terminal()
        assert session.wait_exit() == 129
    assert len(kept(home)) == 1


def test_a_line_that_takes_nothing_more_keeps_no_work_from_being_kept_and_no_signal_from_being_heard(home):
    patience = "from tui.terminal import driver; driver._PATIENCE = 0.2"  # at the end it waits so long for the line
    with open_demo(home, before=f"{KEEPS_AT_ONCE}; {patience}") as session:
        make_unsaved(session)
        held = -1
        while session.unread() > held:  # each key has half of the screen painted anew, until the line holds no more
            held = session.unread()
            session.send("z")
            session.settle(0.05, reading=False)
        session.send("d")
        wait_until(lambda: any(len(design.runs[0].pieces) == 4 for design in kept(home)))
        session.process.send_signal(signal.SIGTERM)
        assert session.process.wait(LIMIT) == 143
    assert len(kept(home)) == 1


def test_an_error_of_its_own_gives_the_terminal_back_and_says_where_work_and_report_are(home):
    broken = "from tui.commands import edit; edit.SwitchUnits.do = lambda command, session: 1 / 0"
    with open_demo(home, before=broken) as session:
        was = session.attributes_at_start
        make_unsaved(session)
        session.send("m")
        assert session.wait_exit() == 1
        assert ALTERNATE_SCREEN_LEFT in session.raw and b"Traceback" not in session.raw
        assert b"unsaved work is kept in" in session.raw
        assert session.attributes() == was
    (report,) = (home / "state" / "kerfdraft").glob("error-*.txt")
    assert "ZeroDivisionError" in report.read_text()
    assert len(kept(home)) == 1


def test_an_error_before_anything_is_shown_is_reported_too(home):
    with PtySession(DEMO, home=home, before="from tui import app; app.assess = lambda design: 1 / 0") as session:
        assert session.wait_exit() == 1
        assert b"Traceback" not in session.raw and b"a report is in" in session.raw


def test_invalid_utf8_and_broken_sequences_do_not_end_it(home):
    with open_demo(home) as session:
        # One piece at a time: the start of a character that comes alone is a case of its own.
        for piece in (b"\xff\xfe", b"\x1b[99999", b"\xf0\x9f", b"\xc3", "esc"):
            session.send(piece)
            session.settle(0.1)
        session.send("?")
        session.wait_for("change the design")
        session.send("esc")
        session.wait_for("1 ducts")
        assert session.process.poll() is None


def test_two_hundred_sizes_one_hard_upon_the_other(home):
    rng = Random(3)
    with open_demo(home) as session:
        make_unsaved(session)
        session.settle()
        before = cells(session)
        for _ in range(200):
            session.resize(rng.randint(1, 140), rng.randint(1, 50))
            time.sleep(0.01)
        session.resize(80, 24)
        session.settle()
        assert cells(session) == before == repainted(session)
        session.send("u")
        session.wait_for("undone: ")


def test_stopped_and_continued_it_takes_the_terminal_anew_and_gives_it_back_as_it_was(home):
    with open_demo(home) as session:
        session.settle()
        was, before = session.attributes_at_start, cells(session)
        for _ in range(2):
            session.stop()
            session.process.send_signal(signal.SIGCONT)
            session.wait_for("q quit")
            session.settle()
        assert cells(session) == before
        for number in range(5, 15):  # were there several readers of the keys, each would get some
            session.send("down")
            session.wait_for(f"{number} of 77")
        session.send("q")
        assert session.wait_exit() == 0
        assert session.attributes() == was


def test_asked_to_stop_it_gives_the_terminal_back_until_it_goes_on(home):
    with open_demo(home) as session:
        session.settle()
        was, before = session.attributes_at_start, cells(session)
        session.process.send_signal(signal.SIGTSTP)
        session.wait_until(lambda: ALTERNATE_SCREEN_LEFT in session.raw and session.attributes() == was)
        session.wait_until(session.is_stopped)
        session.process.send_signal(signal.SIGCONT)
        session.settle()
        assert cells(session) == before
        session.send("q")
        assert session.wait_exit() == 0
        assert session.attributes() == was


@pytest.mark.skipif(shutil.which("tmux") is None, reason="tmux is not there")
def test_detached_and_attached_again_in_a_multiplexer(home):
    with tempfile.TemporaryDirectory() as folder:  # the path of a socket must be short
        tmux = ["tmux", "-S", f"{folder}/socket", "-f", os.devnull]

        def run(*arguments: str) -> str:
            return subprocess.run(
                [*tmux, *arguments], env=environment(home), cwd=home, capture_output=True, text=True, timeout=LIMIT, check=True
            ).stdout

        def attached(saved: str, place: str) -> None:
            code = ("-c", "import os, sys; os.execvp(sys.argv[1], sys.argv[1:])")
            with PtySession(*tmux, "attach", home=home, size=(80, 25), program=code) as client:
                client.wait_for(lambda text: all(words in text for words in ("1 ducts", "q quit", saved)))
                client.send("j", "d")
                client.wait_for(lambda text: all(words in text for words in (place, "not saved")))
                client.close_terminal()  # a line that breaks is a detach
                client.wait_exit()

        run("new-session", "-d", "-x", "80", "-y", "24", sys.executable, "-m", "tui", DEMO)
        try:
            attached("· saved", "6 of 78")
            attached("not saved", "8 of 79")
            assert "not saved" in run("capture-pane", "-p")
        finally:
            run("kill-server")
    wait_until(lambda: any(len(design.runs[0].pieces) >= 3 for design in kept(home)))


# No terminal


def test_a_dumb_terminal_is_refused(tmp_path):
    with PtySession(home=tmp_path, env={"TERM": "dumb"}) as session:
        assert session.wait_exit() == 2
        assert "TERM='dumb'" in session.text


@pytest.mark.parametrize("stream", ["<&-", "</dev/null", ">/dev/null", "2>/dev/null"])
def test_with_any_stream_elsewhere_it_is_refused(home, stream):
    code = f"import os; os.execvp('sh', ['sh', '-c', '{sys.executable} -m tui {DEMO} {stream}; echo status $?'])"
    with PtySession(home=home, program=("-c", code)) as session:
        session.wait_exit()
        assert "status 2" in session.text
        assert b"Traceback" not in session.raw and b"\x1b[?1049h" not in session.raw
    assert journals(home) == []


@pytest.mark.parametrize("name", ["x" * 300, "folder", "nowhere/x.toml"])
def test_a_file_that_cannot_be_is_status_2_in_one_line(home, name):
    (home / "folder").mkdir()
    with PtySession(name, home=home) as session:
        assert session.wait_exit() == 2
        assert b"Traceback" not in session.raw and Path(name).name[:20] in session.text
        assert session.text.startswith("kerfdraft: ")
