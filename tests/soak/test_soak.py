"""A short stretch of each long trial, and that the trials would notice."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from engine.files.design_file import loads
from tests.soak import kill, mutate, walk


@pytest.mark.slow
def test_killed_sessions_lose_nothing(capfd, monkeypatch):
    monkeypatch.setattr(kill, "_AT_WORK", 4)  # they mostly wait for the next key
    assert kill.main(12) == 0, capfd.readouterr().out
    assert "killed while writing 4\n" in capfd.readouterr().out


@pytest.mark.slow
def test_mutated_files_do_no_harm(capfd):
    assert mutate.main(400) == 0, capfd.readouterr().out


def test_keys_at_random_end_no_session_and_leave_nothing_behind_on_the_screen():
    assert walk.one_walk(2, 2 * walk.CHECKED_EVERY) == (2, "")


def test_what_is_left_behind_on_the_screen_is_noticed(monkeypatch):
    monkeypatch.setattr(walk, "repainted", lambda session: [])
    assert f"after {walk.CHECKED_EVERY}" in walk.one_walk(2, 2 * walk.CHECKED_EVERY)[1]


def test_what_a_session_leaves_that_cannot_be_read_is_noticed(tmp_path):
    for name in ("shop.toml", ".shop.toml.0000000a.unsaved", "interview-0000000a.toml"):
        (tmp_path / name).write_text("# nothing\n[collector]\n")
        assert walk.unread(tmp_path).startswith(f"{name}: ")
        (tmp_path / name).unlink()


def test_random_designs_with_strange_names_are_put_in_files_of_strange_names(tmp_path):
    put = [walk.put_design(Random(number), tmp_path).name for number in range(40)]
    assert {*walk.FILES} <= {*put} and walk.unread(tmp_path) == ""


def hangs(data, path):
    while True:
        pass


def fails(data, path):
    return 1 / 0


def holds_a_control_character(data, path):
    return replace(loads(data.decode()), name="\x1b[31m")


@pytest.mark.parametrize(("reading", "told"), [(hangs, "Hang"), (fails, "ZeroDivisionError"), (holds_a_control_character, "control character")])
def test_what_a_file_does_wrong_is_noticed(tmp_path, monkeypatch, reading, told):
    monkeypatch.setattr(mutate, "LONGEST", 0.5)
    monkeypatch.setattr(mutate, "read", reading)
    for change in ("mutated", "nudged"):
        monkeypatch.setattr(mutate, change, lambda rng, data: data)
    assert told in mutate.one_file(1, tmp_path / "shop.toml")


def test_a_session_that_keeps_too_late_is_noticed(monkeypatch):
    monkeypatch.setattr(kill, "KEEPS_AT_ONCE", "from tui.keep import keeper; keeper.KEEP_AFTER = 60")
    monkeypatch.setattr(kill, "_SAVE", "j")
    outcome = kill.one_kill(1)
    assert outcome.edits > 3 and outcome.lost == outcome.edits and outcome.wrong == f"0 edits kept of {outcome.edits}"


def test_a_session_that_is_not_killed_while_it_writes_is_noticed(monkeypatch):
    monkeypatch.setattr(kill, "_WRITES_ITS_LAST", "")
    monkeypatch.setattr(kill, "_MOST_SYNCS", 1)
    assert kill.one_kill(3).wrong == "killed, but not while a file was written"
