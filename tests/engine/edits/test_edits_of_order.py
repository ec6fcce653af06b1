"""Moving, copying and joining elsewhere."""

from __future__ import annotations

import pytest

from engine.design import (
    Gate,
    Run,
    children_of,
    joins_as,
)  # fmt: skip
from engine.design.names import name_beyond
from engine.design.places import (
    CurvePointAt,
    GateSetAt,
    LossAt,
    MachineAt,
    PieceAt,
    PortAt,
    RunAt,
    SizeAt,
    StockAt,
)
from engine.design.rules.consistency import MOST_RUNS
from engine.edits import (
    EditError,
    add_branch,
    at,
    delete,
    duplicate,
    insert,
    move,
    reattach,
)  # fmt: skip
from tests.engine.edits.test_edits import DROP, FAR, MAIN, SAW, SHOP
from tests.shops.toy_horse_works import consistent, elbow, runs_of, straight


def test_a_piece_moves_as_far_as_the_run_goes():
    after, place = move(SHOP, PieceAt(MAIN.run, 1), 1)
    assert place == PieceAt(MAIN.run, 2) and at(after, place) == elbow("west")
    assert move(after, place, -1) == (SHOP, PieceAt(MAIN.run, 1))
    assert move(SHOP, PieceAt(MAIN.run, 0), -1) == (SHOP, PieceAt(MAIN.run, 0))
    assert move(SHOP, PieceAt(MAIN.run, 1), 99)[1] == PieceAt(MAIN.run, 4)


def test_a_run_moves_among_those_that_join_where_it_does():
    after, place = move(SHOP, FAR, -1)
    assert [run.id for run in children_of(consistent(after))["main"]] == ["far main", "planer drop"]
    assert at(after, place).id == "far main"
    assert move(SHOP, FAR, 1) == (SHOP, FAR)


def test_machines_and_sets_move_but_curve_points_stay_in_order():
    assert [m.id for m in move(SHOP, MachineAt(0), 1)[0].machines] == ["band saw", "planer", "sander"]
    assert [s.name for s in move(SHOP, GateSetAt(1), -1)[0].gate_sets] == ["saw and sander", "planer alone"]
    with pytest.raises(EditError, match="curve point 1 cannot be moved"):
        move(SHOP, CurvePointAt(0), 1)


def test_a_copied_run_is_an_open_branch_with_names_of_its_own():
    after, place = duplicate(SHOP, SAW)
    copy = at(consistent(after), place)
    assert (copy.id, copy.joins, copy.as_, copy.ends) == ("saw leg 2", "far main", "branch", None)
    assert [piece.name for piece in copy.pieces if isinstance(piece, Gate)] == ["saw gate 2"]
    with pytest.raises(EditError, match="only one run joins the collector"):
        duplicate(SHOP, MAIN)


@pytest.mark.parametrize(
    ("place", "name"),
    [
        (MachineAt(0), "planer 2"), (PortAt(0, 1), "table 2"), (StockAt(0), "pipe 2"),
        (SizeAt(0, 0), "100 2"), (PieceAt(DROP.run, 0), "planer gate 2"), (GateSetAt(0), "planer alone 2"),
        (LossAt(0), "filter 2"),
    ],
)  # fmt: skip
def test_a_copy_stands_behind_with_a_fresh_name(place, name):
    after, there = duplicate(SHOP, place)
    assert there == place.beside(1)
    copy = at(consistent(after), there)
    assert name in (getattr(copy, "id", None), getattr(copy, "name", None), getattr(copy, "nominal", None))
    assert delete(after, there) == SHOP


def test_a_copied_curve_point_stands_between():
    after, place = duplicate(SHOP, CurvePointAt(1))
    flows = [point.flow.si for point in consistent(after).collector.curve]
    assert flows[1] < flows[2] < flows[3] and place == CurvePointAt(2)


def order_to(design, port: str) -> list:
    """Everything on the way from the collector to a port, leaving out where runs begin."""
    run = next(run for run in design.runs if run.ends == port)
    way = []
    while True:
        way[:0] = run.pieces
        if run.joins == "collector":
            return way
        run = runs_of(design)[run.joins]


PORTS = ("planer/hood", "band saw/lower", "sander/belt")


@pytest.mark.parametrize("place", [*(RunAt(i) for i in range(5)), *(PieceAt(i, k) for i, k in ((0, 0), (0, 4), (1, 0), (1, 3), (2, 0), (3, 2)))])
def test_a_branch_can_join_anywhere_and_moves_no_piece(place):
    after, there = add_branch(SHOP, place, name="new one", size="pipe/100")
    branch = at(consistent(after), there)
    assert (branch.id, branch.as_, branch.size, branch.joins) == ("new one", "branch", "pipe/100", at(SHOP, RunAt(place.run)).id)
    for port in PORTS:
        assert order_to(after, port) == order_to(SHOP, port)
    if isinstance(place, PieceAt):
        assert at(after, RunAt(place.run)).pieces == at(SHOP, RunAt(place.run)).pieces[: place.piece + 1]


def test_the_outer_half_of_a_split_run_is_called_after_its_neighbour_in_order():
    assert [name_beyond(name, {"main", "main 2", "main 3"}) for name in ("main", "main 2", "main 3")] == ["main b", "main 2 b", "main 4"]
    assert name_beyond("main 2", {"main 2", "main 3", "main 2 b"}) == "main 2 c" and name_beyond("drop", {"drop"}) == "drop 2"


def test_a_branch_behind_a_run_simply_joins():
    after, there = add_branch(SHOP, MAIN)
    assert len(after.runs) == 6 and after.runs[0] == SHOP.runs[0]
    assert (at(after, there).id, at(after, there).size) == ("main branch", "pipe/160")
    assert at(*add_branch(after, MAIN)).id == "main branch 2"


def test_a_branch_off_a_run_to_a_port_is_not_shut_with_its_gate():
    after, _ = add_branch(SHOP, SAW)
    runs = runs_of(consistent(after))
    assert runs["saw leg"].pieces == (straight("1 m"),) and runs["saw leg"].ends is None
    assert (runs["saw leg 2"].ends, joins_as(runs["saw leg 2"])) == ("band saw/lower", "straight")


def test_a_branch_at_a_y_joins_before_it():
    after, _ = add_branch(SHOP, FAR)
    children = children_of(consistent(after))
    assert [run.id for run in children["far main"]] == ["far main branch", "far main 2"]
    assert {run.id for run in children["far main 2"]} == {"saw leg", "sander leg"}


def test_no_more_runs_than_a_file_may_hold():
    full = SHOP
    while len(full.runs) < MOST_RUNS:
        full = insert(full, RunAt(len(full.runs)), Run(id=f"r{len(full.runs)}", joins="main", as_="branch", size="pipe/100"))
    for refused in (lambda: add_branch(full, MAIN), lambda: duplicate(full, DROP)):
        with pytest.raises(EditError, match=f"at most {MOST_RUNS}"):
            refused()


def test_a_run_can_join_elsewhere_with_all_beyond_it():
    after, place = reattach(SHOP, FAR, "planer drop")
    consistent(after)
    assert at(after, place).joins == "planer drop" and joins_as(at(after, place)) == "branch"
    assert {run.id for run in children_of(after)["far main"]} == {"saw leg", "sander leg"}
    after, place = reattach(SHOP, SAW, "main")
    assert (joins_as(at(consistent(after), place)), joins_as(runs_of(after)["sander leg"])) == ("branch", "branch")
    assert reattach(SHOP, FAR, "main") == (SHOP, FAR)


def test_a_run_cannot_join_what_lies_beyond_it():
    for place, parent in ((FAR, "saw leg"), (MAIN, "main"), (MAIN, "sander leg"), (FAR, "collector")):
        with pytest.raises(EditError):
            reattach(SHOP, place, parent)
