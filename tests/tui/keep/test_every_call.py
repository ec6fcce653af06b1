"""Whatever call of the system fails, or is the last, while work is kept: what was kept before is there, and a path that is told holds the work."""

from __future__ import annotations

from itertools import count
from pathlib import Path

import pytest

from engine.files.design_file import DesignFileError, load
from engine.survey import answers as questions
from engine.survey.kept import loads
from tests.shops.one_drop import set_length
from tests.system_calls import failing_at, killed_before, stopped_before_each
from tests.tui.keep.sessions import session
from tui.keep import locked_files
from tui.keep.journal import Journal
from tui.pages.interview.files import InterviewFile
from tui.work.document import Document


def lengths(folder: Path) -> set[str]:
    """The lengths in all that is kept of a design in a folder, or in the state folder; what cannot be read counts as "damaged"."""
    found = set()
    for place in (folder, locked_files.state_folder()):
        for journal in place.glob(".*.unsaved"):
            try:
                found.add(load(journal).runs[0].pieces[0].length.text)
            except DesignFileError:
                found.add("damaged")
    return found


@pytest.fixture
def a_session(path: Path):
    """Sessions, each on a copy of the design in a folder of its own, with one edit kept and another one made."""
    text = path.read_text()

    def make(number: int) -> Journal:
        own = path.parent / str(number) / f"{number}.toml"
        own.parent.mkdir()
        own.write_text(text)
        one = session(own, "2.5 m")
        set_length(one.document, "3.5 m")
        return one

    return make


def test_every_call_of_keeping_fails_once(a_session):
    raised = 0
    for call in count(1):
        one, told = a_session(call), None

        def keep(one: Journal = one) -> None:
            nonlocal told
            told = one.keep()

        try:
            if not failing_at(call, keep):
                break
        except OSError:
            raised += 1
        folder = one.document.path.parent
        assert lengths(folder) & {"2.5 m", "3.5 m"} and "damaged" not in lengths(folder)
        if told is not None:
            assert load(told).runs[0].pieces[0].length.text == "3.5 m"
        assert load(one.keep()) == one.document.design
        one.close()
    assert call > 15


def test_every_call_of_keeping_is_the_last_once(a_session):
    one, left = a_session(1), []
    for call in stopped_before_each(one.keep):
        left.append(lengths(one.document.path.parent))
        assert left[-1] and left[-1] <= {"2.5 m", "3.5 m"}, f"before call {call}: {left[-1]}"
    assert len(left) > 10 and left[0] == {"2.5 m"} and left[-1] == {"3.5 m"}


@pytest.mark.parametrize("act", ["save", "save_as"])
def test_every_call_of_saving_and_settling_is_the_last_once_and_the_work_is_in_a_file(a_session, act):
    one = a_session(1)
    one.keep()
    path = one.document.path

    def save() -> None:
        one.document.save_as(path if act == "save" else path.with_name("other.toml"))
        one.keep()
        one.settle()

    for call in stopped_before_each(save):
        in_files = {load(file).runs[0].pieces[0].length.text for file in path.parent.glob("*.toml")}
        last = in_files | lengths(path.parent)
        assert "3.5 m" in last, f"before call {call}"
    assert call > 30


def test_every_call_of_keeping_an_interview_fails_once_and_is_the_last_once():
    def answers(machines: int) -> questions.Answers:
        return questions.with_machines(questions.blank(), None, machines)

    for trial in (failing_at, killed_before):
        for call in count(1):
            file = InterviewFile()
            file.keep(answers(1))
            try:
                if not trial(call, lambda file=file: file.keep(answers(2))):
                    break
            except OSError:
                pass
            held = loads(file.path.read_text())
            assert held is not None and len(held.shop.machines) in (1, 2)
            file.keep(answers(3))
            assert len(loads(file.path.read_text()).shop.machines) == 3
            file.drop()
        assert call > 10


def test_a_folder_that_was_full_is_written_to_again(path, monkeypatch):
    one = Journal(Document.open(path))
    set_length(one.document, "2.5 m")
    monkeypatch.setattr(locked_files, "replaced", lambda *_, **__: (_ for _ in ()).throw(OSError(28, "No space left on device")))
    with pytest.raises(OSError, match="No space"):
        one.keep()
    monkeypatch.undo()
    assert load(one.keep()) == one.document.design
