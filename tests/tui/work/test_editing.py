"""What the editing commands do at each kind of selection, and why they cannot."""

from __future__ import annotations

import pytest

from engine import edits
from engine.design import Gate, Straight
from engine.design.places import (
    COLLECTOR,
    CONVEYING,
    DESIGN,
    LEAKAGE,
    LOSSES,
    MACHINES,
    ROOM,
    SITE,
    STOCK,
    ZONES,
    CornerAt,
    EndOf,
    GateSetAt,
    JointOf,
    MachineAt,
    PieceAt,
    RunAt,
    StockAt,
)
from tests.shops.one_drop import design
from tui.work.document import Document, Refused
from tui.work.edits import deleting, editing
from tui.work.edits.additions import additions

RUN, PIECE, JOINT, END = RunAt(0), PieceAt(0, 0), JointOf(1), EndOf(1)


def at(place) -> Document:
    document = Document(design())
    document.select(place)
    return document


def add(document: Document, key: str, *, before: bool = False, offer: int = 0) -> None:
    addition = next(addition for addition in additions(document, before=before) if addition.key == key)
    editing.add(document, addition.place, addition.offers[offer])


@pytest.mark.parametrize(
    ("place", "before", "wanted"),
    [
        (PIECE, False, PieceAt(0, 1)),
        (PIECE, True, PieceAt(0, 0)),
        (RUN, False, PieceAt(0, 0)),
        (JOINT, False, PieceAt(1, 0)),
        (END, False, PieceAt(1, 1)),
    ],
)
def test_a_piece_goes_where_it_is_asked_for_and_is_selected(place, before, wanted):
    document = at(place)
    add(document, "g", before=before)
    assert document.selection == wanted
    assert isinstance(document.selected, Gate)
    assert document.undo_name.startswith("add gate")


@pytest.mark.parametrize(
    ("place", "key", "grown"),
    [
        (MachineAt(0), "m", lambda d: d.machines),
        (MACHINES, "m", lambda d: d.machines),
        (MachineAt(0), "p", lambda d: d.machines[0].ports),
        (StockAt(0), "z", lambda d: d.stock[0].sizes),
        (STOCK, "s", lambda d: d.stock),
        (COLLECTOR, "p", lambda d: d.collector.curve),
        (COLLECTOR, "l", lambda d: d.collector.losses),
        (LOSSES, "l", lambda d: d.collector.losses),
        (GateSetAt(0), "g", lambda d: d.gate_sets),
        (SITE, "z", lambda d: d.site.zones),
        (ZONES, "z", lambda d: d.site.zones),
    ],
)
def test_every_list_can_be_added_to(place, key, grown):
    document = at(place)
    before = len(grown(document.design))
    add(document, key)
    assert len(grown(document.design)) == before + 1
    document.undo()
    assert document.selection == place


def test_walls_start_around_the_machines_and_go_as_a_whole():
    document = at(ROOM)
    add(document, "w")
    assert document.selection == CornerAt(0) and len(document.design.site.room) == 4
    add(document, "c")
    corners = [(corner.east.si, corner.north.si) for corner in document.design.site.room]
    assert document.selection == CornerAt(1) and corners[1] == pytest.approx(((corners[0][0] + corners[2][0]) / 2, corners[0][1]))
    for _ in range(2):
        assert deleting.deletion_warning(document) is None
        deleting.delete(document)
    assert "delete the walls?" in deleting.deletion_warning(document)
    deleting.delete(document)
    assert document.design.site.room == () and document.selection == ROOM


def test_corners_that_would_cross_the_walls_stay():
    document = at(SITE)
    add(document, "w")
    with pytest.raises(Refused, match=r"corner 1 cannot be moved.*meets"):
        editing.move(document, +1)


@pytest.mark.parametrize("place", [STOCK, MACHINES])
def test_every_row_of_the_catalog_can_be_taken_over_twice(place):
    document = at(place)
    offers = next(addition for addition in additions(document) if addition.key == "k").offers
    for index in range(len(offers)):
        for _ in range(2):
            document.select(place)
            add(document, "k", offer=index)
    assert len(edits.at(document.design, place)) == len(edits.at(design(), place)) + 2 * len(offers)


@pytest.mark.parametrize("place", [LEAKAGE, CONVEYING])
def test_where_nothing_can_be_added_the_reason_is_given(place):
    document = at(place)
    assert "nothing can be added" in editing.why_no_addition(document)
    assert additions(document) == ()


def test_keys_of_what_can_be_added_do_not_clash():
    for place in (RUN, PIECE, MachineAt(0), StockAt(0), COLLECTOR, GateSetAt(0), MACHINES, DESIGN):
        keys = [addition.key for addition in additions(at(place))]
        assert len(keys) == len(set(keys))


@pytest.mark.parametrize("place", [RUN, PIECE, END])
def test_a_branch_is_added_and_selected(place):
    document = at(place)
    count = len(document.design.runs)
    editing.branch(document)
    assert len(document.design.runs) > count
    assert document.selected_run.as_ == "branch"
    document.undo()
    assert document.design == design()


def test_a_branch_at_a_joint_joins_there_too():
    document = at(JOINT)
    editing.branch(document)
    assert document.selected_run.joins == "main"


def test_no_branch_at_the_collector():
    assert "collector" in editing.why_no_branch(at(JointOf(0)))
    assert editing.why_no_branch(at(COLLECTOR))


def test_deleting_one_piece_does_not_ask():
    document = at(PIECE)
    assert deleting.deletion_warning(document) is None
    deleting.delete(document)
    assert len(document.design.runs[0].pieces) == 1
    assert document.selection == PIECE


@pytest.mark.parametrize(
    ("place", "words"),
    [(RUN, "delete main with 1 run beyond it?"), (MachineAt(0), "saw"), (StockAt(0), "pipe with 2 sizes")],
)
def test_deleting_more_than_a_piece_asks(place, words):
    assert words in deleting.deletion_warning(at(place))


def test_deleting_an_end_disconnects_it():
    document = at(END)
    assert deleting.why_no_deletion(document) is None
    deleting.delete(document)
    assert document.design.runs[1].ends is None and document.selection == RunAt(1)
    document.select(END)
    assert deleting.why_no_deletion(document) == "nothing ends here"


@pytest.mark.parametrize("place", [DESIGN, SITE, COLLECTOR, MACHINES, JOINT])
def test_what_cannot_be_deleted_says_why(place):
    assert deleting.why_no_deletion(at(place))


def test_moving_stops_at_the_ends_of_the_list():
    document = at(PIECE)
    assert editing.why_no_move(document, -1) == "this is the first already"
    editing.move(document, +1)
    assert document.selection == PieceAt(0, 1)
    assert [piece.length.si for piece in document.design.runs[0].pieces] == [2.0, 1.0]
    assert editing.why_no_move(document, +1) == "this is the last already"
    assert editing.why_no_move(at(SITE), +1)


def test_duplicate_puts_a_copy_behind():
    document = at(PIECE)
    editing.duplicate(document)
    assert isinstance(document.selected, Straight)
    assert [piece.length.si for piece in document.design.runs[0].pieces] == [1.0, 1.0, 2.0]
    assert editing.why_no_duplicate(at(RUN))
    assert editing.why_no_duplicate(at(END))


def test_renaming_follows_every_reference():
    document = at(MachineAt(0))
    assert editing.name_of(document) == "saw"
    editing.rename(document, "  table saw ")
    assert document.design.runs[1].ends == "table saw/hood"
    assert document.design.gate_sets[0].open == ("table saw",)


@pytest.mark.parametrize("text", ["", "   ", "x" * 81, "main"])
def test_names_that_will_not_do(text):
    document = at(RunAt(1))
    assert editing.why_bad_name(document, text)
    with pytest.raises(Refused):
        editing.rename(document, text)


def test_what_has_no_name_says_so():
    assert editing.why_no_rename(at(PIECE)) == "this has no name"
    assert editing.why_no_rename(at(DESIGN)) is None


def test_other_gate_set_and_revert_say_why_not():
    document = at(RUN)
    assert editing.why_no_other_gate_set(document)
    assert "no file" in editing.why_no_revert(document)
