"""What the editing commands do at each kind of selection, and why they cannot."""

from __future__ import annotations

import pytest

from engine.design import Gate, Straight
from tests.document.small_shop import design
from tui import editing
from tui.additions import additions
from tui.document import Document, Refused

RUN, PIECE, JOINT, END = ("runs", 0), ("runs", 0, "pieces", 0), ("runs", 1, "joint"), ("runs", 1, "end")


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
        (PIECE, False, ("runs", 0, "pieces", 1)),
        (PIECE, True, ("runs", 0, "pieces", 0)),
        (RUN, False, ("runs", 0, "pieces", 0)),
        (JOINT, False, ("runs", 1, "pieces", 0)),
        (END, False, ("runs", 1, "pieces", 1)),
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
        (("machines", 0), "m", lambda d: d.machines),
        (("machines",), "m", lambda d: d.machines),
        (("machines", 0), "p", lambda d: d.machines[0].ports),
        (("stock", 0), "z", lambda d: d.stock[0].sizes),
        (("stock",), "s", lambda d: d.stock),
        (("collector",), "p", lambda d: d.collector.curve),
        (("collector",), "l", lambda d: d.collector.losses),
        (("collector", "losses"), "l", lambda d: d.collector.losses),
        (("gate_sets", 0), "g", lambda d: d.gate_sets),
    ],
)
def test_every_list_can_be_added_to(place, key, grown):
    document = at(place)
    before = len(grown(document.design))
    add(document, key)
    assert len(grown(document.design)) == before + 1
    document.undo()
    assert document.selection == place


@pytest.mark.parametrize("place", [("stock",), ("machines",)])
def test_every_row_of_the_catalog_can_be_taken_over_twice(place):
    document = at(place)
    offers = next(addition for addition in additions(document) if addition.key == "k").offers
    for index in range(len(offers)):
        for _ in range(2):
            document.select(place)
            add(document, "k", offer=index)
    assert len(getattr(document.design, place[0])) == len(getattr(design(), place[0])) + 2 * len(offers)


@pytest.mark.parametrize("place", [(), ("site",), ("conveying",)])
def test_where_nothing_can_be_added_the_reason_is_given(place):
    document = at(place)
    assert "nothing can be added" in editing.why_no_addition(document)
    assert additions(document) == ()


def test_keys_of_what_can_be_added_do_not_clash():
    for place in (RUN, PIECE, ("machines", 0), ("stock", 0), ("collector",), ("gate_sets", 0), ("machines",)):
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
    assert "collector" in editing.why_no_branch(at(("runs", 0, "joint")))
    assert editing.why_no_branch(at(("collector",)))


def test_deleting_one_piece_does_not_ask():
    document = at(PIECE)
    assert editing.deletion_warning(document) is None
    editing.delete(document)
    assert len(document.design.runs[0].pieces) == 1
    assert document.selection == PIECE


@pytest.mark.parametrize(
    ("place", "words"),
    [(RUN, "delete main with 1 run beyond it?"), (("machines", 0), "saw"), (("stock", 0), "pipe with 2 sizes")],
)
def test_deleting_more_than_a_piece_asks(place, words):
    assert words in editing.deletion_warning(at(place))


def test_deleting_an_end_disconnects_it():
    document = at(END)
    assert editing.why_no_deletion(document) is None
    editing.delete(document)
    assert document.design.runs[1].ends is None
    assert editing.why_no_deletion(document) == "nothing ends here"


@pytest.mark.parametrize("place", [(), ("site",), ("collector",), ("machines",), JOINT])
def test_what_cannot_be_deleted_says_why(place):
    assert editing.why_no_deletion(at(place))


def test_moving_stops_at_the_ends_of_the_list():
    document = at(PIECE)
    assert editing.why_no_move(document, -1) == "this is the first already"
    editing.move(document, +1)
    assert document.selection == ("runs", 0, "pieces", 1)
    assert [piece.length.si for piece in document.design.runs[0].pieces] == [2.0, 1.0]
    assert editing.why_no_move(document, +1) == "this is the last already"
    assert editing.why_no_move(at(("site",)), +1)


def test_duplicate_puts_a_copy_behind():
    document = at(PIECE)
    editing.duplicate(document)
    assert isinstance(document.selected, Straight)
    assert [piece.length.si for piece in document.design.runs[0].pieces] == [1.0, 1.0, 2.0]
    assert editing.why_no_duplicate(at(RUN))
    assert editing.why_no_duplicate(at(END))


def test_renaming_follows_every_reference():
    document = at(("machines", 0))
    assert editing.name_of(document) == "saw"
    editing.rename(document, "  table saw ")
    assert document.design.runs[1].ends == "table saw/hood"
    assert document.design.gate_sets[0].open == ("table saw",)


@pytest.mark.parametrize("text", ["", "   ", "x" * 81, "main"])
def test_names_that_will_not_do(text):
    document = at(("runs", 1))
    assert editing.why_bad_name(document, text)
    with pytest.raises(Refused):
        editing.rename(document, text)


def test_what_has_no_name_says_so():
    assert editing.why_no_rename(at(PIECE)) == "this has no name"
    assert editing.why_no_rename(at(())) is None


def test_other_gate_set_and_revert_say_why_not():
    document = at(RUN)
    assert editing.why_no_other_gate_set(document)
    assert "no file" in editing.why_no_revert(document)
