"""Whatever ends a session, and whoever else is at work on the file, no work is lost and none is replaced unasked."""

from __future__ import annotations

import signal

import pytest

from engine.files.design_file import load
from tests.tui.terminal.demo import DEMO, KEEPS_AT_ONCE, TEXT, journals, kept, make_unsaved, open_demo, select_first_straight, straights, type_length
from tests.tui.terminal.pty_session import PtySession
from tests.waiting import wait_until
from tui.keep.keeper import KEEP_AFTER

TOLD = "unsaved work on"


def kill(session: PtySession) -> None:
    session.process.kill()
    session.wait_exit()


def leave_work(home) -> None:
    """Let a session be killed with work unsaved."""
    with open_demo(home, before=KEEPS_AT_ONCE) as session:
        make_unsaved(session)
        session.wait_until(lambda: bool(kept(home)))
        kill(session)


def test_work_is_kept_though_one_edit_follows_the_other(home):
    """Two seconds of edits may be lost: that a quarter of them is left for the writing is all there is to say of time."""
    assert KEEP_AFTER <= 1.5
    with open_demo(home) as session:
        select_first_straight(session)

        def edit() -> None:
            session.send("d")
            session.settle(0.02)

        for _ in range(2):
            before = max(map(straights, kept(home)), default=0)
            wait_until(lambda: max(map(straights, kept(home)), default=0) > before, edit, lambda: session.text)


def test_what_is_being_typed_is_kept_too(home):
    with open_demo(home) as session:
        select_first_straight(session)
        type_length(session, "31 m")
        session.wait_until(lambda: any(design.runs[0].pieces[0].length.text == "31 m" for design in kept(home)))
        kill(session)


def test_left_behind_it_is_told_what_differs_and_taken_it_is_a_step(home):
    leave_work(home)
    with PtySession(DEMO, home=home) as session:
        shown = session.wait_for(lambda text: TOLD in text and "delete it" in text)
        assert "1 run changed; last edit: duplicate straight of main, " in shown
        session.send("enter")
        session.wait_for("not saved")
        session.send("u")
        session.wait_for("undone: ")
        session.send("U", "w")
        session.wait_for(f"saved {DEMO}")
        session.send("q")
        assert session.wait_exit() == 0
    assert straights(load(home / DEMO)) == straights(load(home / f"{DEMO}~")) + 1
    assert journals(home) == []


def test_left_it_is_offered_again_and_deleted_it_is_not(home):
    leave_work(home)
    for answer in (("j", "enter"), ("esc",), ("j", "j", "enter")):
        with PtySession(DEMO, home=home) as session:
            session.wait_for(lambda text: TOLD in text and "delete it" in text)
            session.send(*answer)
            session.wait_for(lambda text: TOLD not in text and "1 ducts" in text and "saved" in text)
            session.send("q")
            assert session.wait_exit() == 0
    assert journals(home) == [] and (home / DEMO).read_text() == TEXT
    with open_demo(home) as session:
        session.settle()
        assert TOLD not in session.text


def test_a_question_about_unsaved_work_that_is_not_answered_is_no_answer(home):
    with open_demo(home) as session:
        make_unsaved(session)
        session.send("q")
        session.wait_for("unsaved changes:")
        session.close_terminal()
        assert session.wait_exit() == 129
    assert len(kept(home)) == 1


def test_asked_to_stop_it_keeps_first(home):
    with open_demo(home, before="from tui.keep import keeper; keeper.KEEP_AFTER = 600") as session:
        make_unsaved(session)
        assert kept(home) == []
        session.process.send_signal(signal.SIGTSTP)
        session.wait_until(session.is_stopped)
        kill(session)
    assert len(kept(home)) == 1


def test_a_journal_that_is_taken_away_is_written_elsewhere_and_offered_from_there(home):
    look_often = f"{KEEPS_AT_ONCE}; keeper.LOOK_AGAIN_AFTER = 0.05"
    with open_demo(home, before=look_often) as session:
        make_unsaved(session)
        session.wait_until(lambda: bool(kept(home)))
        for journal in journals(home):
            journal.unlink()
        session.wait_until(lambda: bool(kept(home / "state" / "kerfdraft")))
        session.process.send_signal(signal.SIGTERM)
        assert session.wait_exit() == 128 + signal.SIGTERM
        told = session.raw.decode(errors="replace")
        assert f"unsaved work is kept in {home}/state/kerfdraft/." in "".join(told.split("\r\n"))
    with PtySession(DEMO, home=home) as session:
        session.wait_for(lambda text: TOLD in text and "delete it" in text)


def test_of_two_left_behind_both_are_offered_and_taking_one_leaves_the_other(home):
    with open_demo(home, before=KEEPS_AT_ONCE) as one, open_demo(home, before=KEEPS_AT_ONCE) as two:
        for session in (one, two):
            make_unsaved(session)
        two.send("d")
        session.wait_until(lambda: sorted(map(straights, kept(home))) == [2, 3])
        for session in (one, two):
            kill(session)
    with PtySession(DEMO, home=home) as session:
        session.wait_for(lambda text: TOLD in text and "1 of 2, the newest first: " in text)
        session.send("enter")
        session.wait_for(lambda text: TOLD in text and "2 of 2, the newest first: " in text)
        session.send("enter")
        session.wait_for(lambda text: TOLD not in text and "not saved" in text)
        session.send("w")
        session.wait_for(f"saved {DEMO}")
        session.send("q")
        assert session.wait_exit() == 0
    assert straights(load(home / DEMO)) == 2 and [straights(design) for design in kept(home)] == [3]


def test_a_name_with_a_tilde_is_opened_and_saved_as_it_stands(home):
    for name in ("~/x.toml", "~shop.toml"):
        path = home / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(TEXT)
        with PtySession(f"./{name}", home=home) as session:
            session.wait_for("q quit")
            make_unsaved(session)
            session.send("w")
            session.wait_for(f"saved {path.name}")
            session.send("W")
            session.wait_for("save as")
            session.send("ctrl+u", "~other.toml", "enter")
            beside = path.parent / "~other.toml"
            session.wait_for(f"saved {beside.relative_to(home)}")
            session.send("q")
            assert session.wait_exit() == 0
        assert straights(load(path)) == 2 and straights(load(beside)) == 2
        beside.unlink()


def test_two_sessions_see_each_other_keep_their_own_and_replace_nothing_unasked(home):
    with open_demo(home, before=KEEPS_AT_ONCE) as one, open_demo(home, before=KEEPS_AT_ONCE) as two:
        two.wait_for(f"also open elsewhere: process {one.process.pid} on ")
        for session in (one, two):
            make_unsaved(session)
        two.send("d")
        two.wait_until(lambda: sorted(map(straights, kept(home))) == [2, 3])
        one.send("w")
        one.wait_for(f"saved {DEMO}")
        two.send("w")
        two.wait_for("was changed by something else")
        two.send("n")
        two.settle()
        assert straights(load(home / DEMO)) == 2
        two.send("W")
        two.wait_for("save as")
        two.send("enter")  # under its own name it asks as well
        two.wait_for("was changed by something else")
        two.send("y")
        two.wait_for(f"saved {DEMO}")
        for session in (one, two):
            session.send("q")
            assert session.wait_exit() == 0
    assert straights(load(home / DEMO)) == 3 and straights(load(home / f"{DEMO}~")) == 2
    assert journals(home) == []


@pytest.mark.parametrize("change", ["written", "removed"])
def test_a_file_that_changed_on_disk_is_not_replaced_unasked_at_quitting_either(home, change):
    with open_demo(home) as session:
        make_unsaved(session)
        (home / DEMO).write_text(TEXT + "\n# theirs\n") if change == "written" else (home / DEMO).unlink()
        session.send("q")
        session.wait_for("unsaved changes:")
        session.send("s")
        session.wait_for("was changed by something else")
        session.send("n")
        session.settle()
        assert session.process.poll() is None and "not saved" in session.row(0)
    assert not (home / DEMO).exists() if change == "removed" else (home / DEMO).read_text().endswith("# theirs\n")
