"""The document: steps, undo, refusal, selection and the file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from engine import edits
from engine.design import GateSet, Straight
from engine.units import parse
from tests.document.small_shop import design
from tui.document import HISTORY, Document, Refused, nearest

LENGTH = ("runs", 0, "pieces", 0)


def with_length(document: Document, text: str):
    return edits.set_field(document.design, LENGTH, "length", parse(text, "length"))


def set_length(document: Document, text: str, merge_key=None) -> None:
    document.apply("length", with_length(document, text), LENGTH, merge_key)


def length(document: Document) -> float:
    return document.design.runs[0].pieces[0].length.si


def test_undo_and_redo_give_back_every_design_in_order():
    document = Document(design())
    seen = [document.design]
    for metres in range(2, 5):
        set_length(document, f"{metres} m")
        seen.append(document.design)
    back = [document.design]
    while document.undo():
        back.append(document.design)
    assert back == seen[::-1]
    forth = [document.design]
    while document.redo():
        forth.append(document.design)
    assert forth == seen


def test_at_least_500_steps_can_be_undone():
    document = Document(design())
    for step in range(600):
        set_length(document, f"{1 + step / 1000} m")
    undone = 0
    while document.undo():
        undone += 1
    assert undone == 600
    assert length(document) == 1.0


def test_the_oldest_steps_are_dropped_and_the_document_still_holds_together():
    document = Document(design())
    for step in range(HISTORY + 10):
        set_length(document, f"{1 + step / 10000} m")
    undone = 0
    while document.undo():
        undone += 1
    assert undone == HISTORY


def test_a_new_step_drops_what_was_undone():
    document = Document(design())
    set_length(document, "2 m")
    document.undo()
    set_length(document, "3 m")
    assert document.redo() is None
    assert length(document) == 3.0


def test_typing_in_one_field_is_one_step():
    document = Document(design())
    for text in ("2 m", "2.5 m", "2.55 m"):
        set_length(document, text, merge_key="typing")
    assert document.undo().name == "length"
    assert length(document) == 1.0
    assert document.undo() is None


@pytest.mark.parametrize("part", [Document.seal, lambda document: document.select(("collector",))])
def test_leaving_the_field_ends_the_step(part):
    document = Document(design())
    set_length(document, "2 m", merge_key="typing")
    part(document)
    set_length(document, "3 m", merge_key="typing")
    document.undo()
    assert length(document) == 2.0


def test_after_undo_typing_starts_a_step_of_its_own():
    document = Document(design())
    set_length(document, "2 m", merge_key="typing")
    set_length(document, "3 m")
    document.undo()
    set_length(document, "4 m", merge_key="typing")
    document.undo()
    assert length(document) == 2.0


def test_restoring_the_old_value_takes_the_step_away():
    document = Document(design())
    set_length(document, "2 m", merge_key="typing")
    document.apply("length", design(), LENGTH, "typing")
    assert document.undo_name is None


def test_the_same_design_is_no_step():
    document = Document(design())
    document.apply("nothing", design())
    assert document.undo_name is None


def test_an_invalid_design_is_refused_with_a_reason_and_changes_nothing():
    document = Document(design())
    before = document.design
    with pytest.raises(Refused) as refused:
        document.apply("break", replace(before, runs=(replace(before.runs[0], joins="nowhere"), before.runs[1])))
    assert "nowhere" in str(refused.value) and "\n" not in str(refused.value)
    assert document.design is before and document.undo_name is None


def test_undo_selects_where_the_change_was_made_and_redo_what_it_made():
    document = Document(design())
    document.select(LENGTH)
    after = edits.insert(document.design, ("runs", 1, "pieces", 1), Straight(length=parse("1 m", "length")))
    document.apply("add", after, ("runs", 1, "pieces", 1))
    assert document.selection == ("runs", 1, "pieces", 1)
    document.select(("collector",))
    document.undo()
    assert document.selection == LENGTH
    document.redo()
    assert document.selection == ("runs", 1, "pieces", 1)


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        (("runs", 0, "pieces", 9), ("runs", 0, "pieces", 1)),
        (("runs", 7, "pieces", 2), ("runs", 1)),
        (("runs", 0, "joint"), ("runs", 0, "joint")),
        (("runs", 9, "end"), ("runs", 1)),
        (("machines", 0, "ports", 3), ("machines", 0, "ports", 0)),
        (("machines",), ("machines",)),
        (("collector", "losses"), ("collector", "losses")),
        (("collector", "losses", 0), ("collector", "losses")),
        (("machines", 0, "joint"), ("machines", 0)),
        (("nonsense", 3), ()),
        (("runs", -1), ("runs",)),
        ((), ()),
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
    document.select(("collector",))
    document.undo()
    assert told == ["design", "selection", "design"]


def test_gate_sets_go_round_and_the_index_stays_inside():
    both = replace(design(), gate_sets=(GateSet(name="one", open=("saw",)), GateSet(name="none", open=())))
    document = Document(both)
    document.show_gate_set(-1)
    assert document.gate_set.name == "none"
    document.apply("delete set", edits.delete(document.design, ("gate_sets", 1)))
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
