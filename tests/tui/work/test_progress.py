"""Marks of the work: each press one further, and the tree says it. The shop is invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.design.meaning import work_on
from engine.design.places import COLLECTOR, JointOf, MachineAt, PieceAt, RunAt
from engine.edits import set_field
from engine.units import parse
from tests.shops.parts_shop import canoe_loft
from tui.panes.tree.node import walk
from tui.panes.tree.nodes import tree
from tui.work.document import Document, Refused
from tui.work.edits.deleting import deletion_warning
from tui.work.progress import next_state, why_no_state


@pytest.fixture
def document() -> Document:
    return Document(canoe_loft())


def labels(document: Document) -> list[str]:
    return [node.label for node, _ in walk(tree(document.design, None, 0))]


def test_each_press_takes_a_run_one_state_further_and_round_again(document):
    document.select(RunAt(1))
    assert [next_state(document) for _ in range(5)] == ["bought", "cut", "hung", "tested", "planned"]
    assert document.design.runs[1].state is None
    next_state(document)
    assert "saw drop (bought)" in labels(document)
    document.undo()
    assert "saw drop" in labels(document)


def test_a_piece_is_marked_from_where_its_run_is(document):
    document.select(RunAt(1))
    next_state(document), next_state(document)
    document.select(PieceAt(1, 0))
    assert [next_state(document) for _ in range(3)] == ["hung", "tested", "cut"]
    assert document.design.runs[1].pieces[0].state is None
    next_state(document)
    assert "gate saw gate (hung)" in labels(document) and work_on(document.design.runs[1]) == "cut"


def test_at_a_joint_its_run_is_marked_and_elsewhere_it_says_what_to_select(document):
    document.select(JointOf(1))
    assert why_no_state(document) is None and next_state(document) == "bought" and document.design.runs[1].state == "bought"
    document.select(MachineAt(0))
    assert "select a run, a piece" in (why_no_state(document) or "")


def test_at_the_collector_every_run_comes_as_far_as_the_next_state_of_the_one_behind(document):
    document.select(RunAt(1))
    next_state(document), next_state(document)
    document.select(COLLECTOR)
    assert why_no_state(document) is None
    told = [next_state(document) for _ in range(4)]
    assert told[0] == "every run bought that was not"
    assert {work_on(run) for run in document.design.runs} == {"tested"}
    with pytest.raises(Refused, match="every run is tested"):
        next_state(document)
    for _ in range(4):
        document.undo()
    assert [work_on(run) for run in document.design.runs[:2]] == ["planned", "cut"]
    document.redo()
    assert [work_on(run) for run in document.design.runs[:2]] == ["bought", "cut"]
    empty = Document(replace(canoe_loft(), runs=(), gate_sets=()))
    empty.select(COLLECTOR)
    assert why_no_state(empty) is not None


def test_what_changes_falls_back_and_undo_restores(document):
    document.select(RunAt(0))
    for _ in range(4):
        next_state(document)
    tested = document.design
    document.apply("length", set_field(tested, PieceAt(0, 2), "length", parse("2.3 m", "length")), merge_key="length")
    assert "main (tested)" in document.touched and "straight 2.3 m (planned)" in labels(document)
    # Steps of one field are one: back where it was, all of it hangs as before.
    document.apply("length", set_field(document.design, PieceAt(0, 2), "length", parse("2.4 m", "length")), merge_key="length")
    document.apply("length", set_field(document.design, PieceAt(0, 2), "length", parse("2 m", "length")), merge_key="length")
    assert document.design == tested and not document.touched
    document.apply("length", set_field(tested, PieceAt(0, 2), "length", parse("2.3 m", "length")))
    assert document.design.left_over
    document.undo()
    assert document.design == tested and not document.touched


def test_a_run_that_is_marked_takes_its_pieces_along(document):
    document.select(RunAt(0))
    for _ in range(3):
        next_state(document)
    document.apply("length", set_field(document.design, PieceAt(0, 2), "length", parse("2.3 m", "length")))
    document.select(PieceAt(0, 2))
    assert [next_state(document) for _ in range(2)] == ["bought", "cut"]
    document.select(RunAt(0))
    assert next_state(document) == "hung" and {work_on(document.design.runs[0], piece) for piece in document.design.runs[0].pieces} == {"hung"}


def test_before_work_is_taken_away_it_is_told(document):
    document.select(RunAt(1))
    next_state(document)
    document.select(PieceAt(1, 0))
    assert "saw drop (bought)" in (deletion_warning(document) or "")
