"""The document: refusal, selection, gate sets and the file. Its steps have tests of their own."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest

from engine import edits
from engine.design import GateSet
from engine.design.places import COLLECTOR, DESIGN, LOSSES, MACHINES, EndOf, GateSetAt, JointOf, LossAt, MachineAt, PieceAt, PortAt, RunAt
from engine.files import design_file
from tests.shops.one_drop import LENGTH, design, length, set_length
from tui.work.document import Document, Refused
from tui.work.selection import nearest


def test_an_invalid_design_is_refused_with_a_reason_and_changes_nothing():
    document = Document(design())
    before = document.design
    with pytest.raises(Refused) as refused:
        document.apply("break", replace(before, runs=(replace(before.runs[0], joins="nowhere"), before.runs[1])))
    assert "nowhere" in str(refused.value) and "\n" not in str(refused.value)
    assert document.design is before and document.undo_name is None


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        (PieceAt(0, 9), PieceAt(0, 1)),
        (PieceAt(7, 2), RunAt(1)),
        (JointOf(0), JointOf(0)),
        (EndOf(9), RunAt(1)),
        (PortAt(0, 3), PortAt(0, 0)),
        (MACHINES, MACHINES),
        (LOSSES, LOSSES),
        (LossAt(0), LOSSES),
        (PortAt(9, 1), MachineAt(0)),
        (RunAt(-1), COLLECTOR),
        (DESIGN, DESIGN),
    ],
)
def test_the_nearest_place_there_is(wanted, found):
    assert nearest(design(), wanted) == found


def test_the_watcher_is_told_what_changed_and_nothing_when_nothing_does():
    document, told = Document(design()), []
    document.watch = told.append
    document.select(document.selection)
    document.show_gate_set(0)
    assert told == []
    set_length(document, "2 m")
    document.select(COLLECTOR)
    document.undo()
    assert told == ["design", "selection", "design"]


def test_gate_sets_go_round_and_the_index_stays_inside():
    both = replace(design(), gate_sets=(GateSet(name="one", open=("saw",)), GateSet(name="none", open=())))
    document = Document(both)
    document.show_gate_set(-1)
    assert document.gate_set.name == "none"
    document.apply("delete set", edits.delete(document.design, GateSetAt(1)))
    assert document.gate_set.name == "one"


def test_switching_units_is_a_step_and_keeps_what_was_typed():
    document = Document(design())
    document.switch_units()
    assert document.system == "imperial"
    assert document.design.runs == design().runs
    document.undo()
    assert document.system == "metric"


def file_of(folder: Path) -> Path:
    document = Document(design())
    document.save_as(folder / "shop.toml")
    return folder / "shop.toml"


def test_dirty_follows_the_file(tmp_path):
    document = Document.open(file_of(tmp_path))
    assert not document.dirty
    document.select(LENGTH)
    set_length(document, "2 m")
    assert document.dirty and document.unsaved
    document.undo()
    assert not document.dirty
    document.redo()
    assert "shop.toml" in document.save()
    assert not document.dirty
    document.undo()
    assert document.dirty


def test_what_was_typed_is_what_is_saved(tmp_path):
    document = Document.open(file_of(tmp_path))
    set_length(document, "4ft 3in")
    document.save()
    assert Document.open(document.path).design.runs[0].pieces[0].length.text == "4ft 3in"


def test_revert_goes_back_to_the_file_as_a_step(tmp_path):
    document = Document.open(file_of(tmp_path))
    set_length(document, "2 m")
    document.revert()
    assert length(document) == 1.0 and not document.dirty
    document.undo()
    assert length(document) == 2.0


def test_without_a_file_save_asks_for_a_name_and_revert_is_refused():
    document = Document(design())
    with pytest.raises(Refused):
        document.save()
    with pytest.raises(Refused):
        document.revert()


def test_a_file_that_something_else_wrote_to_is_noticed(tmp_path):
    document = Document.open(file_of(tmp_path))
    assert not document.changed_on_disk
    document.path.write_text(document.path.read_text() + "\n\n")
    assert document.changed_on_disk
    document.save()
    assert not document.changed_on_disk
    document.path.unlink()
    assert document.changed_on_disk


def test_a_file_replaced_by_another_of_the_same_length_and_time_is_noticed(tmp_path):
    document = Document.open(file_of(tmp_path))
    before = document.path.stat()
    other = tmp_path / "other"
    other.write_text(document.path.read_text().replace("small", "SMALL"))
    os.utime(other, ns=(before.st_atime_ns, before.st_mtime_ns))
    other.replace(document.path)
    assert document.changed_on_disk


def test_what_is_written_while_the_file_is_being_read_is_noticed(tmp_path, monkeypatch):
    path = file_of(tmp_path)
    load = design_file.load

    def load_slowly(path):
        design = load(path)
        path.write_text(path.read_text() + "\n")
        return design

    monkeypatch.setattr(design_file, "load", load_slowly)
    assert Document.open(path).changed_on_disk


def test_a_file_that_appears_where_a_new_design_was_to_go_is_noticed(tmp_path):
    document = Document.new(tmp_path / "new.toml")
    assert not document.changed_on_disk
    file_of(tmp_path).rename(document.path)
    assert document.changed_on_disk


def test_the_first_save_of_a_commented_file_says_so(tmp_path):
    path = file_of(tmp_path)
    path.write_text("# the shop\n" + path.read_text())
    document = Document.open(path)
    set_length(document, "2 m")
    assert "comments" in document.save()
    assert "comments" not in document.save()


def test_a_folder_that_is_not_there_is_refused_and_nothing_is_lost(tmp_path):
    document = Document(design())
    set_length(document, "2 m")
    with pytest.raises(Refused) as refused:
        document.save_as(tmp_path / "missing" / "shop.toml")
    assert "not saved" in str(refused.value)
    assert document.unsaved and document.path is None


@pytest.mark.parametrize("content", [b"", b"format = 1\nname = 3", b"\xff\xfe", b"[", b"format = 99\nname = 'x'"])
def test_an_unreadable_file_is_refused_in_one_line(tmp_path, content):
    path = tmp_path / "bad.toml"
    path.write_bytes(content)
    with pytest.raises(Refused) as refused:
        Document.open(path)
    assert str(path) in str(refused.value) and "\n" not in str(refused.value)


def test_a_new_document_is_valid_and_nothing_to_save_until_touched():
    document = Document.new()
    assert not document.unsaved
    document.switch_units()
    assert document.unsaved
