"""When work is kept: soon after a change, once for several, again where it could not be; what others left is offered once."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from engine.files import design_file
from tests.shops.one_drop import set_length
from tests.tui.keep.sessions import killed, session
from tui.keep.keeper import KEEP_AFTER, LOOK_AGAIN_AFTER, Keeper
from tui.work.document import Document


class Clock:
    """Notes what is to be done later; `run` does what still waits."""

    def __init__(self) -> None:
        self.waiting: list[tuple[float, Callable[[], None]]] = []

    def later(self, seconds: float, action: Callable[[], None]) -> Clock:
        self.waiting.append((seconds, action))
        return self

    def stop(self) -> None:
        self.waiting.clear()

    def run(self) -> None:
        for _, action in [*self.waiting]:
            action()


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def complaints() -> list[str]:
    return []


@pytest.fixture
def keeper(path: Path, clock: Clock, complaints: list[str]) -> Keeper:
    return Keeper(Document.open(path), clock.later, complaints.append)


def change(keeper: Keeper, length: str) -> None:
    set_length(keeper.document, length)
    keeper.changed()


def test_changes_that_follow_each_other_are_kept_once(keeper, clock):
    change(keeper, "2.5 m")
    change(keeper, "3.5 m")
    assert [seconds for seconds, _ in clock.waiting] == [KEEP_AFTER]
    clock.run()
    assert design_file.load(keeper.journal.path) == keeper.document.design
    assert [seconds for seconds, _ in clock.waiting] == [LOOK_AGAIN_AFTER]
    change(keeper, "4.5 m")
    assert [seconds for seconds, _ in clock.waiting] == [KEEP_AFTER]
    keeper.document.save()
    keeper.saved()
    assert clock.waiting == []


def test_what_cannot_be_kept_is_told_and_tried_again(keeper, clock, complaints, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    change(keeper, "2.5 m")
    clock.run()
    assert complaints == ["unsaved work cannot be kept: No space left on device; save it"]
    assert len(clock.waiting) == 1 and clock.waiting[0][0] > KEEP_AFTER
    monkeypatch.undo()
    clock.run()
    assert design_file.load(keeper.journal.path) == keeper.document.design


def test_what_is_left_nothing_is_kept_of_any_longer(keeper, clock):
    told = []
    keeper.document.watch = told.append
    change(keeper, "2.5 m")
    told.clear()
    keeper.close()
    assert clock.waiting == [] and keeper.journal.path is None
    set_length(keeper.document, "3.5 m")
    assert told == []


def test_work_left_behind_is_offered_once_and_taken_as_a_step(path, clock, complaints):
    killed(session(path, "2.5 m"))
    keeper = Keeper(Document.open(path), clock.later, complaints.append)
    left = keeper.next_left_behind()
    assert left is not None and keeper.next_left_behind() is None
    keeper.take(left)
    assert keeper.document.design == left.design and keeper.document.undo_name == "unsaved work taken over"
    other = Keeper(Document.open(path), clock.later, complaints.append)
    other.take(left)
    assert other.document.undo_name is None
    assert complaints == ["the unsaved work could not be had: another session has it"]


def test_other_sessions_are_told_once(path, clock, complaints):
    one = session(path)
    keeper = Keeper(Document.open(path), clock.later, complaints.append)
    assert len(keeper.other_sessions()) == 1 and keeper.other_sessions() == ()
    one.close()


def test_what_has_waited_is_kept_when_that_makes_no_key_wait(path, clock, complaints):
    passed = 0.0
    keeper = Keeper(Document.open(path), clock.later, complaints.append, now=lambda: passed)
    change(keeper, "2.5 m")
    keeper.keep_due()
    assert not keeper.kept
    passed = KEEP_AFTER / 2
    change(keeper, "3.5 m")
    keeper.keep_due()
    assert keeper.kept and design_file.load(keeper.journal.path) == keeper.document.design
    assert [seconds for seconds, _ in clock.waiting] == [LOOK_AGAIN_AFTER]
    passed += KEEP_AFTER
    keeper.keep_due()
    assert [seconds for seconds, _ in clock.waiting] == [LOOK_AGAIN_AFTER]
