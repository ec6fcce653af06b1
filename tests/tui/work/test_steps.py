"""The steps of a document: undo, redo, and what makes two changes one step."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine import edits
from engine.design import GateSet, Straight
from engine.design.places import COLLECTOR, PieceAt
from engine.units import parse
from tests.shops.one_drop import LENGTH, design, length, set_length
from tui.work.document import HISTORY, Document, Refused


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


COMES_BETWEEN = {
    "leaving the field": Document.seal,
    "another selection": lambda document: document.select(COLLECTOR),
    "another field": lambda document: document.apply("other", edits.set_field(document.design, COLLECTOR, "swirl", 0.1), LENGTH, "other"),
    "a change without a key": lambda document: document.apply("other", replace(document.design, notes="x"), LENGTH),
    "undo and redo": lambda document: (document.undo(), document.redo()),
    "a save": lambda document: document.save(),
}


@pytest.mark.parametrize("name", COMES_BETWEEN)
def test_what_comes_between_two_changes_of_a_field_makes_two_steps_of_them(tmp_path, name):
    document = Document(design(), tmp_path / "shop.toml")
    set_length(document, "2 m", merge_key="typing")
    COMES_BETWEEN[name](document)
    set_length(document, "3 m", merge_key="typing")
    document.undo()
    assert length(document) == 2.0


@pytest.mark.parametrize("name", ["the same selection", "a refused change", "a change to the same"])
def test_what_does_not_come_between_leaves_them_one_step(name):
    document = Document(design())
    document.select(LENGTH)
    set_length(document, "2 m", merge_key="typing")
    match name:
        case "the same selection":
            document.select(LENGTH)
        case "a refused change":
            with pytest.raises(Refused):
                document.apply("no", replace(document.design, gate_sets=(GateSet(name="x", open=("nothing",)),)), LENGTH, "other")
        case "a change to the same":
            document.apply("no", document.design, LENGTH, "other")
    set_length(document, "3 m", merge_key="typing")
    document.undo()
    assert length(document) == 1.0


def test_steps_stay_together_however_many_and_keep_the_selection_from_before_the_first():
    document = Document(design())
    document.select(COLLECTOR)
    for step in range(HISTORY + 5):
        set_length(document, f"{2 + step / 10000:.4f} m", merge_key="typing")
    document.undo()
    assert length(document) == 1.0 and document.selection == COLLECTOR and document.undo_name is None


def test_the_last_edit_is_named_an_undo_too():
    document = Document(design())
    assert document.last_edit == ""
    set_length(document, "2 m")
    assert document.last_edit == "length"
    document.undo()
    assert document.last_edit == "undo of length"
    document.redo()
    assert document.last_edit == "length"


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


def test_undo_selects_where_the_change_was_made_and_redo_what_it_made():
    document = Document(design())
    document.select(LENGTH)
    after = edits.insert(document.design, PieceAt(1, 1), Straight(length=parse("1 m", "length")))
    document.apply("add", after, PieceAt(1, 1))
    assert document.selection == PieceAt(1, 1)
    document.select(COLLECTOR)
    document.undo()
    assert document.selection == LENGTH
    document.redo()
    assert document.selection == PieceAt(1, 1)
