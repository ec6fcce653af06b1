"""The journal: work is kept beside the design, found again by the next session, and gone once it is saved."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from engine.files import design_file
from tests.shops.one_drop import TEXT, set_length
from tests.tui.keep.sessions import hidden, killed, left, session
from tui.keep import journal, locked_files
from tui.work.document import Document

# One session


def test_while_nothing_is_unsaved_it_holds_no_design(path):
    one = session(path)
    assert one.keep() is None
    with pytest.raises(design_file.DesignFileError):
        design_file.load(one.path)


def test_unsaved_work_is_a_design_file_beside_the_design_and_leaves_that_alone(path):
    before = path.read_text()
    one = session(path, "2.5 m")
    assert one.path.parent == path.parent and one.path.name.startswith(".a.toml.")
    assert design_file.load(one.path) == one.document.design
    assert path.read_text() == before


def test_it_is_written_only_when_the_design_is_another(path):
    one = session(path, "2.5 m")
    before = one.path.stat().st_mtime_ns
    one.keep()
    assert one.path.stat().st_mtime_ns == before


@pytest.mark.parametrize("settle", [Document.save, Document.undo], ids=["saving", "undoing everything"])
def test_what_is_no_longer_unsaved_is_in_it_no_longer(path, settle):
    one = session(path, "2.5 m")
    settle(one.document)
    assert one.keep() is None
    killed(one)
    assert left(path) == ()


def test_leaving_removes_it_for_good(path):
    one = session(path, "2.5 m")
    one.close()
    assert hidden(path.parent) == []
    assert one.keep() is None and hidden(path.parent) == []


def test_saved_under_another_name_it_goes_along(path):
    one = session(path, "2.5 m")
    one.document.save_as(path.with_name("b.toml"))
    one.keep()
    assert len(hidden(path.parent)) == 1 and one.path.name.startswith(".b.toml.")
    set_length(one.document, "3.5 m")
    one.keep()
    killed(one)
    assert left(path) == () and len(left(path.with_name("b.toml"))) == 1


def test_a_design_without_a_file_is_kept_in_the_state_folder():
    one = session(None, "2.5 m")
    assert one.path.parent == locked_files.state_folder()
    killed(one)
    assert [found.design for found in left(None)] == [one.document.design]


def test_a_folder_that_cannot_be_written_to_falls_back_to_the_state_folder_and_comes_back(path, monkeypatch):
    write = locked_files.replaced

    def only_state(where, *arguments, **rest):
        if where.parent == path.parent:
            raise PermissionError(13, "Permission denied")
        return write(where, *arguments, **rest)

    monkeypatch.setattr(locked_files, "replaced", only_state)
    one = session(path, "2.5 m")
    assert one.path.parent == locked_files.state_folder()
    (path.parent / "deeper").mkdir()
    (path.parent / "deeper" / "a.toml").write_text(TEXT)
    assert session(path.parent / "deeper" / "a.toml").others() == journal.Survey()  # the same name in another folder
    monkeypatch.undo()
    monkeypatch.setenv("XDG_STATE_HOME", str(one.path.parents[1]))
    set_length(one.document, "3.5 m")
    before = one.path
    assert one.keep().parent == path.parent and not before.exists()


def test_where_nothing_can_be_written_it_says_so_and_what_was_kept_stays(path, monkeypatch):
    one = session(path, "2.5 m")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    set_length(one.document, "3.5 m")
    with pytest.raises(OSError, match="No space"):
        one.keep()
    monkeypatch.undo()
    assert design_file.load(one.path).runs[0].pieces[0].length.text == "2.5 m"
    assert hidden(path.parent) == [one.path.name]


def test_who_may_read_the_design_may_read_the_journal_and_nobody_else(path):
    path.chmod(0o640)
    assert session(path).path.stat().st_mode & 0o777 == 0o640
    assert session(None).path.stat().st_mode & 0o777 == 0o600


# The next session


def test_what_was_left_behind_is_found_with_its_last_edit_and_time(path):
    one = session(path)
    one.document.apply("length of straight 1 of main", session(path, "2.5 m").document.design)
    one.keep()
    when = killed(one).stat().st_mtime
    (found,) = left(path)
    assert found.design == one.document.design
    assert found.last_edit == "length of straight 1 of main" and found.when.timestamp() == pytest.approx(when)


def test_by_whatever_name_the_file_is_opened(path, tmp_path, monkeypatch):
    killed(session(path, "2.5 m"))
    (tmp_path / "link.toml").symlink_to(path)
    monkeypatch.chdir(path.parent)
    for name in (tmp_path / "link.toml", Path("a.toml"), Path("../shop/a.toml")):
        assert len(left(name)) == 1


def test_what_equals_the_file_is_removed_unasked_and_twice_the_same_is_once(path):
    same = session(path, "2.5 m")
    Document(same.document.design).save_as(path)
    killed(same)
    for _ in range(2):
        killed(session(path, "3.5 m"))
    one = session(path)
    assert [found.design.runs[0].pieces[0].length.text for found in one.others().left] == ["3.5 m"]
    assert len(hidden(path.parent)) == 2  # that one, and the session's own


def test_several_are_found_newest_first(path):
    for age, length in ((200, "2.5 m"), (100, "3.5 m"), (300, "4.5 m")):
        where = killed(session(path, length))
        os.utime(where, (time.time() - age,) * 2)
    assert [found.design.runs[0].pieces[0].length.text for found in left(path)] == ["3.5 m", "2.5 m", "4.5 m"]


def test_journals_without_work_and_old_halves_are_removed_and_damaged_ones_left_alone(path):
    killed(session(path))
    empty, damaged, other = (path.with_name(f".a.toml.0000000{n}.unsaved") for n in (1, 2, 3))
    half, new_half = (path.with_name(f".a.toml.0000000{n}.unsaved.new") for n in (4, 5))
    for file, content in ((empty, b""), (damaged, b"format = 1\nname"), (other, b"\xff\xfe"), (half, b"for"), (new_half, b"for")):
        file.write_bytes(content)
    os.utime(half, (time.time() - 3600,) * 2)
    one = session(path)
    assert one.others() == journal.Survey()
    assert {*hidden(path.parent)} == {one.path.name, damaged.name, other.name, new_half.name}


def test_only_the_journals_of_this_design_are_its_journals(path):
    other = path.with_name("a.toml.b")
    other.write_text(TEXT)
    killed(session(other, "2.5 m"))
    assert left(path) == () and len(left(other)) == 1
