"""Edits of a design: what each does, what follows it, and that none breaks a consistent design. Invented data."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine import catalog
from engine.design import (
    PIECE_KEYS,
    Straight,
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
from engine.design.rules.consistency import mistakes
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
from tests.shops.toy_horse_works import consistent, runs_of, straight, workshop

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


# ---- runs


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
