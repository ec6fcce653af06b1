"""Moving machines, ports and the collector: what changes, what follows, what is told."""

from __future__ import annotations

import pytest

from engine.checks.assess import assess
from engine.design.places import COLLECTOR, DESIGN, MACHINES, EndOf, MachineAt, PortAt, RunAt
from engine.shapes.vectors import WAYS
from engine.space.geometry import space_of
from tests.shops import placed_drops, two_drops
from tui.work.document import Document, Refused
from tui.work.edits import moving
from tui.work.edits.moving import Move

PLANER, LATHE = MachineAt(0), MachineAt(1)


@pytest.fixture
def design():
    return two_drops.design(placed_drops.TEXT)


def at(design, machine):
    return tuple(getattr(design.machines[machine], axis).si for axis in moving.AXES)


def told(move):
    return moving.told(move, assess(moving.after(move)))


def test_a_machine_moves_alone_and_its_gap_with_it(design):
    move = Move(PLANER, design, (-0.4, 0.0, 0.0))
    after = moving.after(move)
    assert at(after, 0) == pytest.approx((2.55, 3.3, 1.7)) and after.machines[0].east.text == "2.55 m"
    assert after.runs == design.runs and after.machines[1] == design.machines[1]
    gap = space_of(after).gaps["planer/hood"]
    text, short = told(move)
    assert short and text == f"planer 0.4 m west: hose {round(gap.distance - 0.6, 2):g} m too short"
    assert told(Move(PLANER, design, (0.0, 0.0, 0.1))) == ("planer 0.1 m up: hose reaches, 0.17 m spare", False)


def test_the_last_straight_along_the_move_follows_and_keeps_the_gap(design):
    for by in (-0.5, 0.3):
        move = Move(LATHE, design, (by, 0.0, 0.0), follows=True)
        after = moving.after(move)
        assert after.runs[3].pieces[1].length.si == pytest.approx(2.0 - by)
        assert space_of(after).gaps["lathe/hood"].distance == pytest.approx(space_of(design).gaps["lathe/hood"].distance, abs=1e-9)
        assert f"straight of lathe drop {abs(by)} m {'longer' if by < 0 else 'shorter'}" in told(move)[0]


def test_the_air_changes_with_the_straight(design):
    before, after = assess(design), assess(moving.after(Move(LATHE, design, (-1.5, 0.0, 0.0), follows=True)))
    flows = [assessment.sets[1].balance.ports["lathe/hood"].flow for assessment in (before, after)]
    assert flows[1] < flows[0]


def test_where_no_straight_leads_the_duct_stays_and_that_is_said(design):
    move = Move(LATHE, design, (-0.2, 0.3, 0.0), follows=True)
    assert moving.after(move).runs[3].pieces[1].length.si == pytest.approx(2.2)
    text, _ = told(move)
    assert "no straight leads north" in text and "straight of lathe drop 0.2 m longer" in text


def test_a_straight_is_not_made_shorter_than_nothing(design):
    with pytest.raises(Refused, match="straight of lathe drop would have no length left"):
        moving.after(Move(LATHE, design, (2.0, 0.0, 0.0), follows=True))


def test_the_collector_takes_every_duct_with_it(design):
    move = Move(COLLECTOR, design, (0.0, -0.5, 0.0))
    before, after = space_of(design), space_of(moving.after(move))
    for run in ("main", "main 2"):
        assert after.ways[run].end == pytest.approx(tuple(a + b for a, b in zip(before.ways[run].end, (0.0, -0.5, 0.0), strict=True)))
    assert after.ports == before.ports
    assert told(move) == ("collector 0.5 m south with all ducts: 2 ports out of reach", True)
    assert told(Move(COLLECTOR, design, (0.0, 0.0, -0.1))) == ("collector 0.1 m down with all ducts: lathe/hood out of reach", True)


def test_ports_of_their_own_place_go_with_their_machine_and_move_alone(design):
    shop = moving.after(Move(PortAt(0, 0), design, (0.1, 0.0, 0.0)))
    port = shop.machines[0].ports[0]
    assert (port.east.si, port.north.si, port.up.si) == pytest.approx((3.05, 3.3, 1.7)) and at(shop, 0) == at(design, 0)
    moved = moving.after(Move(PLANER, shop, (0.0, 0.2, 0.0)))
    assert moved.machines[0].ports[0].north.si == pytest.approx(3.5) and at(moved, 0)[1] == pytest.approx(3.5)


def test_imperial_steps_are_four_inches_and_written_in_feet_and_inches():
    shop = two_drops.design(placed_drops.TEXT.replace('[b]"', '[b]"\ndisplay = "imperial"').replace('east = "2.95 m"', 'east = "10ft"'))
    after = moving.after(Move(PLANER, shop, moving.step_by("east", "imperial")))
    assert after.machines[0].east.text == "10ft 4in" and after.machines[0].east.si == pytest.approx(124 * 0.0254)
    assert moving.step_by("down", "metric", 5) == pytest.approx(tuple(0.5 * part for part in WAYS["down"]))


def test_a_move_is_one_step_and_restoring_leaves_none(design):
    document = Document(design)
    document.select(LATHE)
    move = moving.begun(document)
    for step in (1, 2, 3):
        move = Move(move.place, move.before, (-0.1 * step, 0.0, 0.0))
        moving.carried_out(document, move)
    assert document.undo_name == "move lathe" and at(document.design, 1)[0] == pytest.approx(0.24)
    document.seal()
    document.undo()
    assert document.design is design and document.undo_name is None
    moving.carried_out(document, move)
    moving.carried_out(document, Move(move.place, move.before))
    assert document.undo_name is None


def test_what_cannot_be_moved_says_why():
    document = Document(two_drops.design())
    with pytest.raises(Refused, match="only machines, ports and the collector move"):
        moving.begun(document)
    document.select(PLANER)
    with pytest.raises(Refused, match="planer has no position yet"):
        moving.begun(document)


def test_the_end_of_a_run_moves_its_machine(design):
    assert moving.moves(design, EndOf(1)) == PLANER
    assert moving.moves(design, RunAt(1)) is None and moving.moves(design, MACHINES) is None and moving.moves(design, DESIGN) is None
