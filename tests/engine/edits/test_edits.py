"""Edits of a design: what each does, what follows it, and that none breaks a consistent design. Invented data."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine import catalog
from engine.design import (
    PIECE_KEYS,
    Gate,
    Run,
    Straight,
    children_of,
    defaults,
    joins_as,
)  # fmt: skip
from engine.design.places import (
    COLLECTOR,
    CURVE,
    DESIGN,
    GATE_SETS,
    LOSSES,
    MACHINES,
    RUNS,
    SITE,
    STOCK,
    CurvePointAt,
    GateSetAt,
    LossAt,
    MachineAt,
    OfRun,
    PieceAt,
    PortAt,
    Rows,
    RunAt,
    SizeAt,
    StockAt,
    whole,
)
from engine.design.rules.collector import FEWEST_POINTS
from engine.design.rules.consistency import MOST_RUNS, mistakes
from engine.edits import (
    EditError,
    add_branch,
    at,
    delete,
    duplicate,
    fresh_name,
    insert,
    move,
    new_item,
    new_piece,
    reattach,
    run_place,
    set_field,
    set_fields,
)  # fmt: skip
from engine.files.design_file import dumps, loads
from tests.shops.small_shops import q
from tests.shops.toy_horse_works import consistent, elbow, runs_of, straight, workshop

SHOP = workshop()
MAIN, DROP, FAR, SAW, SANDER = (RunAt(i) for i in range(5))


def test_the_workshop_of_these_tests_is_consistent():
    consistent(SHOP)
    consistent(workshop("imperial"))


def test_the_material_of_a_first_run_is_in_the_catalog():
    assert catalog.roughness(defaults.PIPE_MATERIAL).value > 0


# ---- set_field


def test_set_field_changes_only_its_field():
    length = q("2 m")
    after = set_field(SHOP, PieceAt(MAIN.run, 0), "length", length)
    assert at(after, PieceAt(MAIN.run, 0)) == Straight(length=length)
    assert after.runs[1:] == SHOP.runs[1:] and after.machines is SHOP.machines
    assert set_field(SHOP, SITE, "humidity", 0.3).site.humidity == 0.3
    assert set_field(SHOP, DESIGN, "name", "Works").name == "Works"


@pytest.mark.parametrize(
    ("place", "field", "value", "holders"),
    [
        (MAIN, "id", "trunk", {(RunAt(1), "joins"): "trunk", (RunAt(2), "joins"): "trunk", (RunAt(3), "joins"): "far main"}),
        (MachineAt(0), "id", "jointer", {(RunAt(1), "ends"): "jointer/hood", (GateSetAt(0), "open"): ("jointer",)}),
        (PortAt(1, 0), "id", "upper", {(RunAt(3), "ends"): "band saw/upper", (GateSetAt(1), "open"): ("band saw", "sander")}),
        (StockAt(0), "id", "spiral", {(RunAt(0), "size"): "spiral/160", (PieceAt(1, 3), "size"): "hose/125"}),
        (StockAt(1), "id", "flex", {(RunAt(0), "size"): "pipe/160", (PieceAt(1, 3), "size"): "flex/125"}),
        (SizeAt(0, 1), "nominal", "5 in", {(RunAt(1), "size"): "pipe/5 in", (RunAt(3), "size"): "pipe/100"}),
        (SizeAt(1, 1), "nominal", "wide", {(PieceAt(1, 3), "size"): "hose/wide", (RunAt(1), "size"): "pipe/125"}),
        (GateSetAt(0), "name", "first", {}),
        (PieceAt(DROP.run, 0), "name", "blade", {}),
    ],
)
def test_references_follow_a_new_name(place, field, value, holders):
    after = consistent(set_field(SHOP, place, field, value))
    assert getattr(at(after, place), field) == value
    for (holder, reference), wanted in holders.items():
        assert getattr(at(after, holder), reference) == wanted
    assert set_field(after, place, field, getattr(at(SHOP, place), field)) == SHOP


def test_fields_set_at_once():
    pipe_of_its_own = {"size": None, "bore": q("150 mm", "bore"), "material": defaults.PIPE_MATERIAL}
    after = consistent(set_fields(SHOP, MAIN, pipe_of_its_own))
    assert (after.runs[0].size, after.runs[0].bore.si) == (None, 0.15)


def test_a_field_clears_what_it_excludes():
    own = consistent(set_field(SHOP, MAIN, "bore", q("150 mm", "bore"))).runs[0]
    assert (own.size, own.material) == (None, "galvanised spiral")
    stocked = consistent(set_field(set_field(SHOP, MAIN, "bore", q("150 mm", "bore")), MAIN, "size", "pipe/125")).runs[0]
    assert (stocked.size, stocked.bore, stocked.material) == ("pipe/125", None, None)
    after = consistent(set_field(SHOP, FAR, "as_", "branch"))
    assert consistent(set_field(set_field(after, DROP, "as_", "straight"), DROP, "angle", None)).runs[1].toward is None
    assert consistent(set_field(SHOP, DROP, "ends", None)).runs[1].port_taper is None
    port = PortAt(0, 0)
    measured = consistent(set_field(set_field(SHOP, port, "loss", 2.0), port, "suction", q("600 Pa", "pressure")))
    assert at(measured, port).loss is None
    assert at(consistent(set_field(measured, port, "loss", 2.0)), port).suction is None


def test_a_collector_has_a_curve_or_its_free_air():
    free = consistent(set_field(SHOP, COLLECTOR, "free_air", q("2600 m3/h", "flow")))
    assert (free.collector.curve, free.collector.max_suction.si) == ((), 2400.0)
    assert consistent(set_field(free, COLLECTOR, "curve", SHOP.collector.curve)) == SHOP


def test_legs_come_and_go_in_twos():
    after = consistent(set_field(SHOP, SAW, "as_", "straight"))
    assert (joins_as(after.runs[3]), joins_as(after.runs[4])) == ("straight", "branch")
    assert [joins_as(run) for run in consistent(set_field(after, SANDER, "as_", "leg")).runs[3:]] == ["leg", "leg"]
    three, _ = add_branch(after, FAR)
    assert mistakes(set_field(three, SAW, "as_", "leg")), "a Y has two legs and nothing else"


# ---- insert, delete


def test_insert_puts_a_piece_in_front():
    place = PieceAt(MAIN.run, 1)
    after = consistent(insert(SHOP, place, straight("9 m")))
    assert at(after, place) == straight("9 m")
    assert delete(after, place) == SHOP


def test_deleting_a_run_takes_what_lies_beyond():
    assert set(runs_of(consistent(delete(SHOP, FAR)))) == {"main", "planer drop"}
    assert consistent(delete(SHOP, MAIN)).runs == ()


def test_the_leg_left_alone_becomes_a_branch():
    after = consistent(delete(SHOP, SAW))
    assert joins_as(runs_of(after)["sander leg"]) == "branch"


def test_deleting_a_machine_clears_what_named_it():
    after = consistent(delete(SHOP, MachineAt(0)))
    drop = runs_of(after)["planer drop"]
    assert (drop.ends, drop.port_taper) == (None, None)
    assert [gate_set.open for gate_set in after.gate_sets][-1] == ("band saw", "sander")
    assert "planer" not in {name for gate_set in after.gate_sets for name in gate_set.open}


def test_deleting_a_port_clears_its_run_alone():
    after = consistent(delete(SHOP, PortAt(0, 0)))
    assert runs_of(after)["planer drop"].ends is None
    assert runs_of(after)["saw leg"].ends == "band saw/lower"
    assert after.gate_sets == SHOP.gate_sets


def test_runs_keep_the_bore_of_a_deleted_size():
    after = consistent(delete(SHOP, SizeAt(0, 2)))
    main = runs_of(after)["main"]
    assert (main.size, main.bore.si, main.material) == (None, 0.16, "galvanised spiral")
    assert runs_of(after)["far main"].size == "pipe/125"
    for run in consistent(delete(SHOP, StockAt(0))).runs:
        assert run.size is None and run.bore is not None


def test_a_hose_of_a_deleted_size_keeps_its_bore():
    after = consistent(delete(SHOP, StockAt(1)))
    assert at(after, PieceAt(DROP.run, 3)).size is None, "the run has the hose's bore"
    narrow = set_field(SHOP, PieceAt(DROP.run, 3), "size", "hose/100")
    with pytest.raises(EditError, match="hose of planer drop is hose/100"):
        delete(narrow, StockAt(1))


def test_what_must_be_there_is_not_deleted():
    for place in (DESIGN, SITE, COLLECTOR, RUNS):
        with pytest.raises(EditError, match="not one of a list"):
            delete(SHOP, place)
    design = SHOP
    for _ in SHOP.collector.curve[FEWEST_POINTS:]:
        design = consistent(delete(design, CurvePointAt(0)))
    with pytest.raises(EditError, match="curve point 1 cannot be deleted"):
        delete(design, CurvePointAt(0))


# ---- move, duplicate


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


# ---- runs


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
    assert [run.id for run in children["far main"]] == ["far main 2", "far main branch"]
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


# ---- any edits, in any order


def places(design) -> list:
    """Every place that is a row of a list."""
    rows = [STOCK, MACHINES, RUNS, GATE_SETS, CURVE, LOSSES]
    inner = {STOCK: "sizes", MACHINES: "ports", RUNS: "pieces"}
    rows += [Rows(outer.row(i), field) for outer, field in inner.items() for i in range(len(at(design, outer)))]
    return [row.row(i) for row in rows for i in range(len(at(design, row)))]


def some_edit(design, kind: str, a: int, b: int):
    """One edit of a kind, of the things numbered `a` and `b`."""
    everything = places(design)
    place = everything[a % len(everything)]
    in_runs = [place for place in everything if isinstance(place, OfRun)] or [None]
    run_or_piece = in_runs[a % len(in_runs)]
    if kind == "delete":
        return delete(design, place)
    if kind == "move":
        return move(design, place, b % 5 - 2)[0]
    if kind == "duplicate":
        return duplicate(design, place)[0]
    if kind == "new":
        if isinstance(place, PieceAt):
            return insert(design, place, new_piece(list(PIECE_KEYS)[b % 6], design, design.runs[place.run]))
        return insert(design, place, new_item(design, place))
    if run_or_piece is None:
        return insert(design, RunAt(0), new_item(design, RunAt(0)))
    if kind == "branch":
        return add_branch(design, run_or_piece)[0]
    if kind == "rename":
        return set_field(design, whole(run_or_piece), "id", fresh_name(f"run {b}", set(runs_of(design))))
    if kind == "reattach":
        return reattach(design, whole(run_or_piece), design.runs[b % len(design.runs)].id)[0]
    return design


EDITS = st.tuples(
    st.sampled_from(["delete", "move", "duplicate", "new", "branch", "rename", "reattach"]),
    st.integers(0, 200),
    st.integers(0, 50),
)


@settings(max_examples=60)
@given(edits=st.lists(EDITS, max_size=12), display=st.sampled_from(["metric", "imperial"]))
def test_no_edits_make_a_consistent_design_inconsistent(edits, display):
    design, reasons = workshop(display), []
    for edit in edits:
        try:
            design = some_edit(design, *edit)
        except EditError as refusal:
            reasons.append(str(refusal))
        consistent(design)
        for run in design.runs:
            assert at(design, run_place(design, run.id)) is run
    assert all(reason.isprintable() for reason in reasons)
    assert loads(dumps(design)) == design, "what an edit made is what its file says"
