"""The whole session in a real pseudo-terminal: keys in, screens and files out."""

from __future__ import annotations

import re
import shutil
import signal
from pathlib import Path

import pytest

from tests.terminal.pty_session import ROOT, PtySession, run_command

DEMO = "signal_box.toml"


@pytest.fixture
def home(tmp_path: Path) -> Path:
    shutil.copy(ROOT / "saved_designs" / DEMO, tmp_path)
    return tmp_path


def open_demo(home: Path, *options: str, **rest) -> PtySession:
    session = PtySession(*options, DEMO, home=home, **rest)
    session.wait_for(lambda text: "Signal-box luthiery" in text and "q quit" in text)
    return session


def select_first_straight(session: PtySession) -> None:
    session.send("j")
    session.wait_for("2 straight of main")


def type_length(session: PtySession, text: str) -> None:
    session.send("e")
    session.wait_for("accept")
    session.send(text)
    session.wait_for(f"[{text}")


def test_open_edit_see_the_speed_change_undo_save_and_quit(home):
    before = (home / DEMO).read_text()
    with open_demo(home) as session:
        select_first_straight(session)
        type_length(session, "31 m")
        shown = session.wait_for(lambda text: re.search(r"main speed [\d.]+ -> [\d.]+ m/s", text) is not None)
        old, new = map(float, re.search(r"main speed ([\d.]+) -> ([\d.]+) m/s", shown).groups())
        assert new < old
        session.send("enter")
        session.wait_for("e edit")
        assert "not saved" in session.row(0)
        session.send("u")
        session.wait_for("undone: ")
        assert "· saved" in session.row(0)
        session.send("U")
        session.wait_for("done again: ")
        session.send("ctrl+s")
        session.wait_for(f"saved {DEMO}")
        session.send("q")
        assert session.wait_exit() == 0
    assert 'straight = "31 m"' in (home / DEMO).read_text()
    assert (home / f"{DEMO}~").read_text() == before
    assert not list(home.glob(".*unsaved"))


def test_quitting_with_unsaved_changes_asks_and_esc_stays(home):
    with open_demo(home) as session:
        select_first_straight(session)
        session.send("d")
        session.wait_for("not saved")
        session.send("q")
        session.wait_for("unsaved changes:")
        session.send("esc")
        session.wait_for("e edit")
        session.send("q")
        session.wait_for("unsaved changes:")
        session.send("d")
        assert session.wait_exit() == 0
    assert (home / DEMO).read_text() == (ROOT / "saved_designs" / DEMO).read_text()
    assert not list(home.glob(".*unsaved"))


def test_unsaved_work_survives_kill_and_is_offered_again(home):
    with open_demo(home) as session:
        select_first_straight(session)
        session.send("d")
        session.wait_for("not saved")
        session.wait_for(lambda _: bool(list(home.glob(".*unsaved"))), limit=5)
        session.process.kill()
        session.wait_exit()
    with open_demo(home) as session:
        session.wait_for("unsaved work of")
        session.send("r")
        session.wait_for("not saved")
        session.send("ctrl+s")
        session.wait_for("saved signal_box")
        session.send("q")
        assert session.wait_exit() == 0
    assert (home / DEMO).read_text().count('straight = "1.2 m"') == (home / f"{DEMO}~").read_text().count('straight = "1.2 m"') + 1


@pytest.mark.parametrize(("number", "status"), [(signal.SIGHUP, 129), (signal.SIGTERM, 143)])
def test_told_to_stop_it_keeps_unsaved_work_and_gives_the_terminal_back(home, number, status):
    with open_demo(home) as session:
        select_first_straight(session)
        session.send("d")
        session.wait_for("not saved")
        session.process.send_signal(number)
        assert session.wait_exit() == status
        assert b"\x1b[?1049l" in session.raw and b"Traceback" not in session.raw
        assert b"unsaved work is kept in" in session.raw
    assert (home / f".{DEMO}.unsaved").exists()
    assert (home / DEMO).read_text() == (ROOT / "saved_designs" / DEMO).read_text()


@pytest.mark.parametrize("ignore_hangup", [False, True], ids=["hangup", "end of input"])
def test_a_terminal_that_goes_away_ends_the_session_and_keeps_the_work(home, ignore_hangup):
    with open_demo(home, ignore_hangup=ignore_hangup) as session:
        select_first_straight(session)
        session.send("d")
        session.wait_for("not saved")
        session.close_terminal()
        assert session.wait_exit(5) == 129
    assert (home / f".{DEMO}.unsaved").exists()


def test_an_error_of_its_own_gives_the_terminal_back_and_says_where_work_and_report_are(home):
    code = (
        "from tui import actions, commands, command_line\n"
        "actions.ACTIONS[commands.SwitchUnits] = lambda app: 1 / 0\n"
        "command_line.run()"
    )
    with open_demo(home, program=("-c", code)) as session:
        select_first_straight(session)
        session.send("d")
        session.wait_for("not saved")
        session.send("m")
        assert session.wait_exit() == 1
        assert b"\x1b[?1049l" in session.raw and b"Traceback" not in session.raw
        assert b"unsaved work is kept in" in session.raw
    (report,) = (home / "state" / "kerfdraft").glob("error-*.txt")
    assert "ZeroDivisionError" in report.read_text()
    assert (home / f".{DEMO}.unsaved").exists()


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


def test_below_the_smallest_size_it_still_saves_and_quits(home):
    with open_demo(home, size=(50, 12)) as session:
        session.wait_for("60 x 18")
        session.send("x", "w")
        session.wait_for("saved")
        session.resize(80, 24)
        session.wait_for("1 ducts")
        session.resize(40, 10)
        session.wait_for("60 x 18")
        session.send("q")
        assert session.wait_exit() == 0


def test_nothing_is_sent_while_nothing_happens(home):
    with open_demo(home) as session:
        session.settle(0.5)
        before = session.received
        session.settle(2.5)
        assert session.received == before


def test_start_and_moves_stay_within_their_bytes(home):
    with open_demo(home) as session:
        session.settle()
        assert session.received <= 50_000
        for key, budget in (("j", 4_500), ("2", 4_500), ("down", 400), ("down", 400), ("1", 4_500), ("s", 5_000)):
            before = session.received
            session.send(key)
            session.settle()
            assert session.received - before <= budget, key


def test_without_a_file_designs_are_listed_and_a_new_one_can_be_saved(home):
    with PtySession(home=home) as session:
        session.wait_for(lambda text: "Signal-box luthiery" in text and "new design" in text)
        session.send("N")
        session.wait_for("machine drop")
        session.send("ctrl+s")
        session.wait_for("save as")
        session.send("mine", "enter")
        session.wait_for("saved mine.toml")
        session.send("q")
        assert session.wait_exit() == 0
    assert run_command("check", "mine.toml", home=home).returncode in (0, 1)


def test_no_colour_is_readable(home):
    with open_demo(home, env={"NO_COLOR": "1"}) as session:
        session.settle()
        assert not re.search(rb"\x1b\[[0-9;]*(3[0-7]|4[0-7]|38;|48;|9[0-7])[0-9;]*m", bytes(session.raw))


@pytest.mark.parametrize("glyphs", ["ascii", "line"])
def test_glyph_sets_hold_what_they_promise(home, glyphs):
    console = set("─│┌┐└┘├┤┬┴┼═║╔╗╚╝╠╣╦╩╬█▀▄▌▐░▒▓▲▼►◄■○•·°±≤≥≈×²½↑↓←→«»")
    with open_demo(home, "--glyphs", glyphs) as session:
        for key in ("2", "3", "t", "t", "t"):
            session.send(key)
            session.settle(0.15)
            strange = {letter for letter in session.text if ord(letter) > 126} - (console if glyphs == "line" else set())
            assert not strange, (key, strange)


def test_what_is_sent_in_parts_is_what_a_full_repaint_shows(home):
    with open_demo(home) as session:
        for key in ("j", "j", "2", "down", "tab", "tab", "1", "s", "d", "u", "a", "esc", "tab", "3", "f", "z", "z"):
            session.send(key)
            session.settle(0.1)
        in_parts = cells(session)
        session.resize(81, 24)
        session.settle()
        session.resize(80, 24)
        session.settle()
        assert cells(session) == in_parts


def cells(session: PtySession) -> list[list[tuple]]:
    """Every cell of the screen but the status row, which a resize leaves to itself: letter, colours and attributes."""
    rows = [number for number in range(24) if number != 22]
    buffer = session.screen.buffer
    return [[(c.data, c.fg, c.bg, c.bold, c.reverse, c.underscore) for c in (buffer[y][x] for x in range(80))] for y in rows]
