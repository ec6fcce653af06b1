"""Edits of what the collector, leaks and throttled gates hold, and of gate sets."""

from __future__ import annotations

import pytest

from engine.design.places import (
    COLLECTOR,
    CURVE,
    LEAKAGE,
    OUTLET,
    CurvePointAt,
    GateSetAt,
    PieceAt,
    Rows,
    RunAt,
)
from tests.shops import two_drops
from tests.tui.work.test_editing import RUN, add, at
from tui.work.document import Document, Refused
from tui.work.edits import deleting, editing
from tui.work.edits.additions import additions

THROTTLE = Rows(GateSetAt(1), "throttle")


def full(place) -> Document:
    document = Document(two_drops.design(two_drops.FULL))
    document.select(place)
    assert document.selection == place
    return document


@pytest.mark.parametrize(
    ("place", "before", "wanted"),
    [(OUTLET, False, 3), (OUTLET.row(0), False, 1), (OUTLET.row(0), True, 0), (OUTLET.row(2), False, 3)],
)
@pytest.mark.parametrize("key", ["s", "e", "l"])
def test_pieces_are_added_to_the_duct_outside(place, before, wanted, key):
    document = full(place)
    assert [addition.key for addition in additions(document, before=before)] == ["s", "e", "l"]
    add(document, key, before=before)
    assert document.selection == OUTLET.row(wanted) and len(document.design.collector.outlet_pieces) == 4
    assert document.undo_name == f"add outlet piece {wanted + 1}"


def test_pieces_of_the_duct_outside_are_moved_copied_and_deleted():
    document = full(OUTLET.row(0))
    first, second, third = document.design.collector.outlet_pieces
    editing.move(document, +1)
    assert document.design.collector.outlet_pieces == (second, first, third) and document.selection == OUTLET.row(1)
    editing.duplicate(document)
    assert document.design.collector.outlet_pieces == (second, first, first, third)
    for left in (3, 2, 1, 0):
        deleting.delete(document)
        assert len(document.design.collector.outlet_pieces) == left
    assert document.selection == OUTLET and deleting.why_no_deletion(document)
    assert editing.why_no_branch(document)


def test_a_gate_is_throttled_once_in_a_set():
    document = full(THROTTLE.row(0))
    add(document, "t")
    assert [row.gate for row in document.design.gate_sets[1].throttle] == ["lathe gate", "planer gate"]
    assert document.selection == THROTTLE.row(1) and document.undo_name == "add throttle of planer gate"
    with pytest.raises(Refused, match=r"no gate .* left"):
        add(document, "t")
    with pytest.raises(Refused, match="each gate once"):
        editing.duplicate(document)
    editing.move(document, -1)
    assert [row.gate for row in document.design.gate_sets[1].throttle] == ["planer gate", "lathe gate"]


def test_the_last_throttled_gate_leaves_its_set_selected():
    document = full(THROTTLE.row(0))
    deleting.delete(document)
    assert document.design.gate_sets[1].throttle == () and document.selection == GateSetAt(1)
    add(document, "t")
    assert document.selection == THROTTLE.row(0)


def test_leakage_can_only_be_changed():
    document = full(LEAKAGE)
    assert additions(document) == () and deleting.why_no_deletion(document) and editing.why_no_rename(document)
    assert editing.why_no_duplicate(document) and editing.why_no_move(document, 1)


@pytest.mark.parametrize("place", [CURVE, COLLECTOR])
@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_a_free_air_collector_gets_a_curve_to_go_on_from_in_one_step(place, units):
    document = Document(two_drops.design(two_drops.FREE_AIR.replace('[b]"', f'[b]"\ndisplay = "{units}"')))
    before = document.design
    document.select(place)
    assert "put the collector's own points in" in additions(document)[0].offers[0].caution
    add(document, "p")
    collector = document.design.collector
    assert [(point.flow.si, point.pressure.si) for point in collector.curve] == [
        (0.0, before.collector.max_suction.si), (before.collector.free_air.si, 0.0),
    ]  # fmt: skip
    assert collector.free_air is None and collector.max_suction is None
    assert document.selection == CurvePointAt(0) and document.undo_name == "add curve"
    add(document, "p")
    low, new, high = document.design.collector.curve
    assert low.flow.si < new.flow.si < high.flow.si and low.pressure.si > new.pressure.si > high.pressure.si
    document.undo()
    document.undo()
    assert document.design == before and document.selection == place


def test_what_has_lost_its_last_row_can_be_added_to_again():
    document = full(PieceAt(3, 0))
    deleting.delete(document)
    deleting.delete(document)
    assert document.selection == RunAt(3)
    add(document, "s")
    assert document.selection == PieceAt(3, 0)
    document.select(RunAt(0))
    deleting.delete(document)
    assert document.design.runs == () and document.selection == COLLECTOR
    add(document, "r")
    assert document.selection == RunAt(0)


def test_the_filter_goes_from_used_to_dirty_to_clean_each_a_step():
    document = full(RunAt(1))
    assert editing.why_no_filter_state(document) is None
    states = []
    for _ in range(3):
        editing.next_filter_state(document)
        states.append(editing.filter_state(document.design))
    assert states == ["dirty", "clean", "used"] and document.selection == RunAt(1)
    assert document.design == two_drops.design(two_drops.FULL)
    assert [document.undo().name for _ in range(3)] == ["filter used", "filter clean", "filter dirty"]


def test_a_filter_of_one_state_says_so():
    assert "clean or a dirty filter" in editing.why_no_filter_state(at(RUN))
    assert "clean or a dirty filter" in editing.why_no_filter_state(Document(two_drops.design()))
    assert editing.why_no_filter_state(None)


def test_machines_become_a_gate_set_in_one_step():
    document = full(RUN)
    assert editing.add_gate_set(document, ("planer", "lathe")) == "planer + lathe"
    assert document.gate_set.name == "planer + lathe" and document.gate_set.open == ("planer", "lathe")
    assert document.selection == GateSetAt(2) and document.undo_name == "add gate set planer + lathe"
    assert editing.add_gate_set(document, ("planer", "lathe")) == "planer + lathe 2"
    assert editing.add_gate_set(document, ("lathe",)) == "lathe alone"
    for _ in range(3):
        document.undo()
    assert document.design == two_drops.design(two_drops.FULL) and document.gate_set_index < 2
