"""Whole sessions in a real pseudo-terminal: keys in, screens and files out."""

from __future__ import annotations

import re

import pytest

from tests.tui.terminal.demo import DEMO, TEXT, journals, make_unsaved, open_demo, select_first_straight, type_length
from tests.tui.terminal.pty_session import PtySession, run_command


def test_open_edit_see_the_speed_change_undo_save_and_quit(home):
    before = (home / DEMO).read_text()
    with open_demo(home) as session:
        select_first_straight(session)
        type_length(session, "31")
        shown = session.wait_for(lambda text: re.search(r"main speed [\d.]+ -> [\d.]+ m/s", text) is not None)
        old, new = map(float, re.search(r"main speed ([\d.]+) -> ([\d.]+) m/s", shown).groups())
        assert new < old
        session.send("enter")
        session.wait_for(lambda text: "e edit" in text and "· not saved" in text)
        session.send("u")
        session.wait_for(lambda text: "undone: " in text and "· saved" in text)
        session.send("U")
        session.wait_for("done again: ")
        session.send("ctrl+s")
        session.wait_for(f"saved {DEMO}")
        session.send("q")
        assert session.wait_exit() == 0
    assert 'straight = "31 m"' in (home / DEMO).read_text()
    assert (home / f"{DEMO}~").read_text() == before
    assert journals(home) == []


def test_quitting_with_unsaved_changes_asks_and_esc_stays(home):
    with open_demo(home) as session:
        make_unsaved(session)
        session.send("q")
        session.wait_for("unsaved changes:")
        session.send("esc")
        session.wait_for(lambda text: "e edit" in text and "unsaved changes:" not in text)
        session.send("q")
        session.wait_for("unsaved changes:")
        session.send("d")
        assert session.wait_exit() == 0
    assert (home / DEMO).read_text() == TEXT
    assert journals(home) == []


def test_a_filter_that_would_leave_no_row_is_not_taken_and_keys_do_no_harm(home):
    with open_demo(home) as session:
        session.send("/")
        session.wait_for("filter:")
        session.send("zzz", "enter")
        session.wait_for("nothing here holds that")
        session.send("h", "l", " ", "j", "k", "g", "G", "t", "d", "x", "e")
        session.settle()
        session.send("esc", "esc", "esc")
        session.wait_for("planer drop")
        assert session.process.poll() is None and "/zzz" not in session.text and "· saved" in session.row(0)


@pytest.mark.parametrize(("opens", "held"), [("?", "esc"), ("?", "?"), (":", "esc")])
def test_a_key_held_down_on_a_page_leaves_the_page_and_no_more(home, opens, held):
    with open_demo(home) as session:
        session.send(opens)
        session.wait_for(lambda text: "2 main" not in text)
        session.send(*[held] * 6)
        for _ in range(6):  # as many as the key may have opened
            session.settle(0.05)
            session.send("esc")
        session.wait_for("planer drop")
        assert session.process.poll() is None


def test_enter_held_down_on_a_list_chooses_once(home):
    with open_demo(home) as session:
        select_first_straight(session)
        before = session.wait_for("of 77")
        session.send("a")
        session.wait_for("add:")
        session.send(re.search(r"(\w) hose", session.row(-2))[1])
        session.settle()
        session.send(*["enter"] * 5)
        session.wait_for("of 78")
        session.settle()
        assert "of 78" in session.text and "of 79" not in session.text, before


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


def test_without_a_file_designs_are_listed_and_a_new_one_can_be_saved(home):
    with PtySession(home=home) as session:
        session.wait_for(lambda text: "Signal-box luthiery" in text and "new design" in text)
        session.send("N")
        session.wait_for("one machine and its duct")
        session.send("small", "enter")
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
        for key in ("2", "tab", "t", "t", "t"):
            session.send(key)
            session.settle()
            strange = {letter for letter in session.text if ord(letter) > 126} - (console if glyphs == "line" else set())
            assert not strange, (key, strange)
