"""The files in which an interview is kept."""

from __future__ import annotations

import errno
import os
from dataclasses import replace

import pytest

from engine.survey.answers import blank, with_machines
from engine.survey.kept import loads
from tests.tui.pages.test_interview import KINDS, complete, picked
from tui.pages.interview import files
from tui.pages.interview.files import InterviewFile, unfinished


def test_answers_are_found_again_by_others_only_once_they_are_left():
    file = InterviewFile()
    file.keep(complete())
    assert unfinished() == []
    file.leave()
    (found,) = unfinished()
    assert found.answers == complete()
    again = InterviewFile(found.path)
    assert unfinished() == []
    again.drop()
    assert unfinished() == [] and not found.path.exists()


def test_one_interview_has_one_session():
    file = InterviewFile()
    file.keep(complete())
    with pytest.raises(OSError, match="another session has it"):
        InterviewFile(file.path)
    assert loads(file.path.read_text()) == complete()


def test_where_no_lock_can_be_had_it_is_not_taken_for_had_and_nothing_is_removed(monkeypatch):
    def no_locks(*_):
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(files.locked_files.fcntl, "flock", no_locks)
    file = InterviewFile()
    file.keep(complete())
    (found,) = unfinished()
    with pytest.raises(OSError, match="cannot be seen here"):
        InterviewFile(found.path)
    file.leave()
    file.drop()
    assert found.path.exists()


def test_answers_that_a_file_would_not_give_back_leave_the_file_as_it_was():
    file = InterviewFile()
    file.keep(complete())
    for name in ("a\u202eb", "x" * 81, "\ud800"):
        with pytest.raises(OSError, match="would not give them back"):
            file.keep(complete().with_shop(replace(complete().shop, name=name)))
    assert loads(file.path.read_text()) == complete()


def test_what_was_left_of_writing_one_is_in_nobodys_way_and_removed_once_it_is_old():
    file = InterviewFile()
    file.keep(complete())
    half = file.path.with_name(f"{file.path.name}{files.locked_files.HALF}")
    half.write_text("half")
    file.keep(picked(complete(), "together", "each machine alone"))
    assert not half.exists()
    half.write_text("half")
    unfinished()
    assert half.exists()
    os.utime(half, (0, 0))
    unfinished()
    assert not half.exists()


def test_several_interviews_are_kept_side_by_side_and_none_for_nothing():
    for count in (1, 2):
        file = InterviewFile()
        file.keep(with_machines(blank(), KINDS[0], count))
        file.leave()
    InterviewFile().keep(blank())
    (files.locked_files.state_folder() / "interview-0.toml").write_bytes(b"\xff\xfe")
    assert sorted(len(found.answers.shop.machines) for found in unfinished()) == [1, 2]
