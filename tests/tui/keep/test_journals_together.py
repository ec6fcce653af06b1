"""Several journals on one design: work taken over, sessions at once, and one that is written while another looks."""

from __future__ import annotations

import errno
import os
import platform
import subprocess
import sys
import time

import pytest

from engine.files import design_file
from tests import ROOT
from tests.shops.one_drop import set_length
from tests.tui.keep.sessions import hidden, killed, left, session
from tests.waiting import wait_until
from tui.keep import journal, locked_files


def test_taken_over_it_stays_until_saved_and_nobody_else_is_offered_it(path):
    where = killed(session(path, "2.5 m"))
    one, two = session(path), session(path)
    (found,) = one.others().left
    one.take(found)
    assert two.others().left == ()
    with pytest.raises(OSError, match="another session has it"):
        two.take(found)
    assert where.exists() and one.others().left == ()
    one.document.apply("taken over", found.design)
    one.document.save()
    one.keep()
    one.settle()
    assert not where.exists()


@pytest.mark.parametrize(("undone", "stays"), [(False, False), (True, True)], ids=["let go", "taken over and undone"])
def test_taken_over_and_left_without_saving(path, undone, stays):
    where = killed(session(path, "2.5 m"))
    one = session(path)
    (found,) = one.others().left
    one.take(found)
    one.document.apply("taken over", found.design)
    one.keep()
    if undone:
        one.document.undo()
    one.close()
    assert hidden(path.parent) == ([where.name] if stays else [])


@pytest.mark.parametrize("save", [True, False], ids=["saved", "let go"])
def test_taken_over_and_undone_it_stays_whatever_comes_of_later_edits(path, save):
    where = killed(session(path, "2.5 m"))
    one = session(path)
    (found,) = one.others().left
    one.take(found)
    one.document.apply("taken over", found.design)
    one.document.undo()
    set_length(one.document, "4.5 m")
    if save:
        one.document.save()
        one.settle()
    one.close()
    assert hidden(path.parent) == [where.name]


def test_taken_over_and_killed_nothing_is_lost(path):
    killed(session(path, "2.5 m"))
    one = session(path)
    (found,) = one.others().left
    one.take(found)
    one.document.apply("taken over", found.design)
    set_length(one.document, "4.5 m")
    one.keep()
    killed(one)
    assert {found.design.runs[0].pieces[0].length.text for found in left(path)} == {"2.5 m", "4.5 m"}


def test_deleted_it_is_gone(path):
    killed(session(path, "2.5 m"))
    (found,) = left(path)
    journal.delete(found)
    assert left(path) == ()


def test_what_another_session_took_is_not_deleted(path):
    where = killed(session(path, "2.5 m"))
    one, two = session(path), session(path)
    (found,) = one.others().left
    (same,) = two.others().left
    one.take(found)
    with pytest.raises(OSError, match="another session has it"):
        journal.delete(same)
    assert where.exists()


@pytest.mark.parametrize("ahead", [0, 3600, -3600], ids=["in time", "ahead of the clock", "behind it"])
@pytest.mark.parametrize("end", ["saved", "let go"])
def test_of_two_taken_one_after_the_other_the_one_that_is_in_no_file_stays(path, ahead, end):
    older, newer = killed(session(path, "2.5 m")), killed(session(path, "3.5 m"))
    for where, age in ((older, 100), (newer, 50)):
        os.utime(where, (time.time() - age + ahead,) * 2)
    one = session(path)
    first, second = one.others().left
    assert [(found.path, found.rank, found.count) for found in (first, second)] == [(newer, 1, 2), (older, 2, 2)]
    for found in (first, second):
        one.take(found)
        one.document.apply("taken over", found.design)
    one.keep()
    if end == "saved":
        one.document.save()
        one.keep()
        one.settle()
    one.close()
    assert hidden(path.parent) == [newer.name]
    assert [found.design for found in left(path)] == [first.design]


def test_taken_saved_and_the_other_taken_then_neither_stays_once_both_were_in_the_file(path):
    for length in ("2.5 m", "3.5 m"):
        killed(session(path, length))
    one = session(path)
    for found in one.others().left:
        one.take(found)
        one.document.apply("taken over", found.design)
        one.document.save()
        one.keep()
        one.settle()
    one.close()
    assert hidden(path.parent) == []


def test_on_a_file_system_without_locks_nothing_is_removed_unasked(path, monkeypatch):
    def no_locks(*_):
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(locked_files.fcntl, "flock", no_locks)
    alive = session(path)  # nothing unsaved in it yet
    same = session(path, "2.5 m")
    same.document.save()
    session(path).others()
    assert alive.path.exists() and same.path.exists()


def test_on_a_file_system_without_locks_work_is_kept_found_and_taken_all_the_same(path, monkeypatch):
    def no_locks(*_):
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(locked_files.fcntl, "flock", no_locks)
    where = killed(session(path, "2.5 m"))
    one = session(path)
    (found,) = one.others().left
    one.take(found)
    one.document.apply("taken over", found.design)
    one.settle()
    assert not where.exists()


# Two sessions at once


def test_two_sessions_have_a_journal_each_and_see_each_other(path):
    one, two = session(path, "2.5 m"), session(path, "3.5 m")
    assert one.path != two.path
    for mine, others in ((one, two.others()), (two, one.others())):
        (told,) = others.sessions
        assert others.left == () and f"process {os.getpid()} on " in told and told.isprintable()
        assert design_file.load(mine.path) == mine.document.design
    one.close()
    assert two.others() == journal.Survey()


def test_a_session_that_writes_its_journal_meanwhile_is_never_taken_for_dead(path):
    code = (
        "import sys; from pathlib import Path; from tests.tui.keep.sessions import session, set_length\n"
        "one = session(Path(sys.argv[1])); print('open', flush=True)\n"
        "for n in range(100000): set_length(one.document, f'{1 + n % 900 / 1000:.3f} m'); one.keep()"
    )
    other = subprocess.Popen([sys.executable, "-c", code, str(path)], stdout=subprocess.PIPE, cwd=ROOT)
    try:
        assert other.stdout.readline() == b"open\n"
        one, writings = session(path), set()

        def look() -> None:
            found = one.others()
            assert len(found.sessions) == 1 and found.left == (), found
            writings.update(file.stat().st_mtime_ns for file in path.parent.glob(".*.unsaved") if file != one.path)

        wait_until(lambda: len(writings) > 50, look)
    finally:
        other.kill()
        other.wait()
        other.stdout.close()
    assert one.others().sessions == ()


def test_a_session_that_has_ended_is_not_named_though_another_holds_its_journal():
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    session = f"process {{}} on {platform.node()} since 03 Mar 10:00"
    assert journal.has_ended(session.format(ended.pid)) and not journal.has_ended(session.format(os.getpid()))
    assert not journal.has_ended(f"process {ended.pid} on another machine since 03 Mar 10:00") and not journal.has_ended("another process")
