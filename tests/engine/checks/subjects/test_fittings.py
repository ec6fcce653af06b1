"""Findings about what follows what along the ducts, and about what they are made of. Designs are invented."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import pytest

from engine.checks.assess import assess
from engine.design import Cleanout, Elbow, Gate, GateSet, Hose, Stock, StockSize
from engine.files.design_file import loads
from tests.shops.parts_shop import FLAT, TEXT
from tests.shops.small_shops import collector, machine, run, shop, si

BEND = Elbow(angle=si(radians(45)), make="mitred")


def told(design, code):
    """(severity, where, piece) of a design's findings of one code."""
    return [(f.severity, f.where, f.piece) for f in assess(design).findings if f.code == code]


def main_with(*drops, **rest):
    """A main of 160 mm and what joins it, each run that ends at a port with a machine of its own."""
    ended = [made.ends.split("/")[0] for made in drops if made.ends]
    return shop(run("main", "collector", 160, 2.0), *drops, machines=[machine(name) for name in ended], **rest)


# ---- spacing


def test_bodies_that_stand_on_each_other_are_told_with_the_room_they_want():
    """A wye of 160 and 100 mm at 45 deg, a sleeve, a gate, a sleeve, an elbow: 183 + 80 + 60 + 80 mm."""
    text = TEXT.replace(FLAT, "").replace('{ straight = "800 mm" }, ', "")
    told = [made.message for made in assess(loads(text)).findings if made.code == "crowded-fittings"]
    assert told == ["0 m between two fittings, less than 0.3 m; their bodies alone want 0.403 m"]


@pytest.mark.parametrize(
    ("straight", "found"), [(0.14, [("caution", "main", 2)]), (0.16, [("note", "main", 2)]), (0.47, [("note", "main", 2)]), (0.48, [])],
)  # fmt: skip
def test_an_elbow_just_before_a_joint(straight, found):
    main = run("main", "collector", 160, 2.0, BEND, straight)
    ways = [run("on", "main", 160, 2.0), run("off", "main", 100, 2.0, as_="branch")]
    assert told(shop(main, *ways), "crowded-fittings") == found


def test_spacing_goes_on_across_runs_that_go_straight_on():
    def made(first, second):
        return shop(run("main", "collector", 160, 2.0, BEND, first), run("on", "main", 160, second, BEND, 2.0))

    assert told(made(0.2, 0.27), "crowded-fittings") == [("note", "on", 1)]
    assert told(made(0.2, 0.29), "crowded-fittings") == []


def test_a_plain_change_of_size_is_no_fitting():
    made = shop(run("main", "collector", 160, 2.0, BEND, 0.3), run("on", "main", 125, 0.1), run("further", "on", 100, BEND, 2.0))
    assert told(made, "crowded-fittings") == []


def test_joints_close_to_each_other_along_a_main():
    def made(apart):
        main, on, end = run("main", "collector", 160, 2.0), run("on", "main", 160, apart), run("end", "on", 160, 2.0)
        return shop(main, on, end, run("a", "main", 100, 2.0, as_="branch"), run("b", "on", 100, 2.0, as_="branch"))

    assert told(made(0.47), "crowded-fittings") == [("note", "on", 0)]
    assert told(made(0.49), "crowded-fittings") == []


@pytest.mark.parametrize(("second", "found"), [(0.55, [("caution", "on", 1)]), (0.57, [])])
def test_straight_before_the_inlet_goes_on_across_runs(second, found):
    """Six bores of 160 mm are 0.96 m."""
    made = shop(run("main", "collector", 160, 0.4), run("on", "main", 160, second, BEND, 2.0), run("off", "main", 100, 1.0, as_="branch"))
    assert told(made, "inlet-elbow") == found
    assert told(replace(made, collector=collector(swirl=0.1)), "inlet-elbow") == []


# ---- gates


@pytest.mark.parametrize(("straight", "found"), [(0.29, [("note", "drop", 1)]), (0.30, [])])
def test_a_gate_that_the_air_comes_to_out_of_an_elbow(straight, found):
    drop = run("drop", "main", 100, 1.0, Gate(name="g"), straight, BEND, 1.0, as_="branch", ends="a/hood")
    assert told(main_with(run("on", "main", 160, 1.0), drop), "gate-after-elbow") == found


def test_a_gate_with_the_elbow_on_the_collectors_side_or_past_a_hose_is_not_after_it():
    for pieces in ((1.0, BEND, Gate(name="g"), 1.0), (Gate(name="g"), Hose(length=si(0.5)), BEND)):
        drop = run("drop", "main", 100, *pieces, as_="branch", ends="a/hood")
        assert told(main_with(run("on", "main", 160, 1.0), drop), "gate-after-elbow") == []


@pytest.mark.parametrize(("length", "found"), [(1.5, []), (1.514, []), (1.516, [("note", "drop", 1)])])
def test_a_gate_far_from_its_joint(length, found):
    drop = run("drop", "main", 100, length, Gate(name="g"), 1.0, as_="branch", ends="a/hood")
    assert told(main_with(run("on", "main", 160, 1.0), drop), "dead-leg") == found


def test_a_dead_leg_begins_at_the_joint_of_several_ways():
    off, drop = run("off", "main", 100, 1.0, as_="branch"), run("drop", "off", 100, 0.6, Gate(name="g"), 1.0, ends="a/hood")
    assert told(main_with(run("on", "main", 160, 1.0), off, drop), "dead-leg") == [("note", "drop", 1)]
    lone = shop(run("main", "collector", 100, 5.0, Gate(name="g"), ends="a/hood"), machines=[machine("a")])
    assert told(lone, "dead-leg") == []


@pytest.mark.parametrize(("across", "found"), [(1.4, []), (1.6, [("note", "drop", 3)])])
def test_a_drop_straight_down_to_its_gate_is_no_part_of_its_dead_leg(across, found):
    down = Elbow(angle=si(radians(90)), toward="down")
    drop = run("drop", "main", 100, across, down, 1.5, Gate(name="g"), 0.5, as_="branch", angle=si(radians(45)), toward="north", ends="a/hood")
    made = main_with(run("on", "main", 160, 1.0), drop)
    assert told(replace(made, collector=collector(east=si(0.0), north=si(0.0), up=si(3.0), faces="east")), "dead-leg") == found


def test_a_machine_without_a_gate():
    drops = run("a drop", "main", 100, 1.0, Gate(name="g"), ends="a/hood"), run("b drop", "main", 100, 1.0, as_="branch", ends="b/hood")
    made = main_with(*drops)
    assert told(made, "no-gate") == [("note", "b/hood", None)]
    idle = replace(made, gate_sets=(GateSet(name="both", open=("a", "b")), GateSet(name="a alone", open=("a",))))
    [found] = [f for f in assess(idle).findings if f.code == "no-gate"]
    assert (found.severity, found.where) == ("caution", "b/hood") and "a alone" in found.message
    assert told(main_with(run("drop", "main", 100, 1.0, ends="a/hood")), "no-gate") == []


@pytest.mark.parametrize(("one", "other", "found"), [("east", "west", True), ("east", "east", False), ("east", "up", False), (None, "west", False)])
def test_branches_that_face_each_other(one, other, found):
    ways = [run("a", "main", 100, 1.0, as_="branch", toward=one), run("b", "main", 100, 1.0, as_="branch", toward=other)]
    made = main_with(run("on", "main", 160, 1.0), *ways)
    assert told(made, "facing-branches") == ([("caution", "b", None)] if found else [])


def test_two_legs_of_a_y_do_not_face_each_other():
    legs = [run(way, "main", 100, 1.0, as_="leg", toward=way) for way in ("east", "west")]
    assert told(main_with(*legs), "facing-branches") == []


# ---- lids


LID = Cleanout(name="lid")


def long_main(*pieces, after=(), end=()):
    """A main of two runs that serves three ports."""
    ports = [run(f"{name} drop", joins, 100, 1.0, as_="branch", ends=f"{name}/hood") for name, joins in (("a", "main"), ("b", "on"))]
    last = run("last", "on", 100, 1.0, *end, ends="c/hood")
    return shop(run("main", "collector", 160, *pieces), run("on", "main", 160, *after), *ports, last, machines=[machine(name) for name in "abc"])


def test_a_main_wants_a_lid_every_12_feet():
    assert told(long_main(2.0, after=(1.65,)), "no-cleanout") == []
    assert told(long_main(2.0, after=(1.69,)), "no-cleanout") == []
    assert told(long_main(2.0, after=(1.70,)), "no-cleanout") == [("note", "on", 0)]
    assert told(long_main(2.0, LID, after=(3.6,)), "no-cleanout") == []
    assert told(long_main(3.7, LID, after=(3.7,)), "no-cleanout") == [("note", "main", 0), ("note", "on", 0)]


def test_a_drop_alone_wants_no_lid():
    assert told(shop(run("drop", "collector", 100, 9.0, ends="a/hood"), machines=[machine("a")]), "no-cleanout") == []


@pytest.mark.parametrize(
    ("pieces", "found"), [((1.1,), [("note", "end", None)]), ((0.9,), []), ((1.1, LID), []), ((LID, 1.1), [("note", "end", None)])]
)
def test_a_dead_end_of_a_main_wants_a_lid(pieces, found):
    runs = run("main", "collector", 160, 2.0, LID), run("end", "main", 160, *pieces)
    drops = [run(f"{name} drop", joins, 100, 1.0, as_="branch", ends=f"{name}/hood") for name, joins in (("a", "main"), ("b", "end"))]
    assert told(shop(*runs, *drops, machines=[machine("a"), machine("b")]), "no-cleanout") == found


# ---- what they are made of


def stocked(**sizes):
    """One run of sewer pipe, a hose on it, and a run of sheet pipe behind, in sizes given as (bore, outside) in mm, or as they are usual."""
    bores = {"sewer": (103.6, 110), "sheet": (110, None), "flex": (110, None), **sizes}
    stock = tuple(
        Stock(
            id=name, kind="hose" if name == "flex" else "pipe", material="flexible hose" if name == "flex" else "galvanised spiral",
            sizes=(StockSize(nominal="110", bore=si(bore / 1000), outside=outside and si(outside / 1000)),),
        )
        for name, (bore, outside) in bores.items()
    )  # fmt: skip
    first = replace(run("main", "collector", None, 2.0, Hose(length=si(0.5), size="flex/110")), size="sewer/110")
    return replace(shop(first, replace(run("on", "main", None, 1.0), size="sheet/110")), stock=stock)


def test_what_fits_over_each_other_mates():
    assert told(stocked(), "does-not-mate") == []


@pytest.mark.parametrize(("flex", "found"), [(108.9, 1), (109.1, 0), (115.9, 0), (116.1, 1), (80.0, 0)])
def test_a_hose_that_goes_neither_over_nor_into_its_pipe(flex, found):
    assert told(stocked(flex=(flex, None)), "does-not-mate") == [("note", "main", 1)] * found


@pytest.mark.parametrize(("sheet", "found"), [((104, 108), 1), ((100, None), 1), ((108, 109.5), 0), ((100, 103), 0), ((112, 114), 0)])
def test_pipes_of_two_families_that_meet(sheet, found):
    """A sewer pipe of 110 mm outside and 103.6 mm bore: over it, end to end with it, or into it."""
    assert told(stocked(sheet=sheet), "does-not-mate") == [("note", "on", None)] * found


def test_sizes_that_do_not_mate_are_told_once():
    made = stocked(flex=(100.0, None))
    twice = replace(made.runs[0], pieces=made.runs[0].pieces * 2)
    [found] = [f for f in assess(replace(made, runs=(twice, *made.runs[1:]))).findings if f.code == "does-not-mate"]
    assert (found.where, found.piece) == ("main", 1) and found.message.endswith("; in 2 places")


def test_what_the_store_has_not():
    made = stocked()
    missing = replace(made, stock=tuple(replace(row, sizes=(replace(row.sizes[0], in_store=False),)) for row in made.stock))
    assert told(missing, "not-in-store") == [("note", "main", None), ("note", "main", 1), ("note", "on", None)]
    assert told(made, "not-in-store") == []


def test_pipe_that_cannot_be_earthed_is_told_once():
    made = stocked()
    assert told(made, "unearthed-pipe") == [("note", "main", None)], "the hose"
    plastic = replace(made, stock=tuple(replace(row, conducts=row.id != "sewer") for row in made.stock))
    [found] = [f for f in assess(plastic).findings if f.code == "unearthed-pipe"]
    assert found.where == "main" and "sewer, in one run" in found.message
    assert told(replace(made, stock=tuple(replace(row, conducts=True) for row in made.stock)), "unearthed-pipe") == []
