"""Findings from the room about people, machines and doors, on both sides of their limits. Invented shops."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.checks.assess import assess
from engine.design import Body, GateSet, Hose, Zone
from engine.files.design_file import loads
from tests.shops.parts_shop import FLAT, TEXT
from tests.shops.remedied import placed, room
from tests.shops.small_shops import machine, q, si


def told(design, code):
    """(severity, where) of a design's findings of one code."""
    return [(found.severity, found.where) for found in assess(design).findings if found.code == code]


@pytest.mark.parametrize(("up", "found"), [("2.079 m", [("caution", "duct")]), ("2.081 m", [])])
def test_a_level_duct_below_headroom(up, found):
    assert told(placed(3.0, at=("4 m", "1 m", up), site=room()), "headroom") == found  # 160 mm of pipe: 80 mm below its middle


def test_headroom_is_for_where_people_walk():
    low = {"at": ("4 m", "1 m", "1.9 m")}
    assert told(placed(3.0, **low, site=room()), "headroom")
    assert told(placed(3.0, **low, site=replace(room(), headroom=q("1.8 m"))), "headroom") == []
    assert told(placed(3.0, **low, site=replace(room(), mains="under benches")), "headroom") == []
    assert told(placed(3.0, at=("0.5 m", "1 m", "1.9 m"), site=room()), "headroom") == []  # along the wall
    # As short as a drop's end, beyond the 0.96 m that the inlet wants straight.
    assert told(placed(1.95, **low, site=room()), "headroom") == [] and told(placed(1.97, **low, site=room()), "headroom")
    assert told(placed(3.0, **low), "headroom") == []  # nobody knows where the walls are


def with_body(east: str, size: str = "1 m", **rest):
    made = placed(4.0, at=("4 m", "1 m", "0.5 m"), site=room())
    body = Body(east=q(size), north=q("1 m"), up=q("1 m"))
    return replace(made, machines=(*made.machines, replace(machine("lathe"), east=q(east), north=q("3 m"), up=q("0.8 m"), size=body)), **rest)


@pytest.mark.parametrize(("east", "found"), [("4 m", [("caution", "duct")]), ("4.57 m", [("caution", "duct")]), ("4.59 m", [])])
def test_a_machine_s_body_in_the_way(east, found):
    assert told(with_body(east), "machine-in-the-way") == found  # half a metre of body and 80 mm of pipe


@pytest.mark.parametrize(("east", "found"), [("0.49 m", [("caution", "lathe")]), ("0.51 m", [])])
def test_a_body_that_reaches_through_a_wall(east, found):
    assert told(with_body(east), "body-in-the-way") == found


def test_two_machines_in_one_place():
    made = with_body("6 m")
    other = replace(made.machines[1], id="drill")
    assert told(replace(made, machines=(*made.machines, other)), "body-in-the-way") == [("caution", "drill")]
    apart = replace(other, east=q("7.1 m"))
    assert told(replace(made, machines=(*made.machines, apart)), "body-in-the-way") == []


def test_the_body_of_the_collector_lies_behind_its_inlet():
    made = with_body("4 m")
    size = Body(east=q("1 m"), north=q("1 m"), up=q("2 m"))
    behind = replace(made, collector=replace(made.collector, size=size))
    assert told(behind, "body-in-the-way") == []  # from 0 to 1 m north, the lathe from 2.5 m
    turned = replace(made, collector=replace(made.collector, size=size, north=q("0.9 m")))
    assert told(turned, "body-in-the-way") == [("caution", "collector")]


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        ("open door", "is where a door opens: thing"),
        ("bench", "runs into the bench thing"),
        ("window", "passes before the window thing"),
        ("keep clear", "passes thing, which is to be kept clear"),
    ],
)
def test_what_is_in_the_way_is_told_by_its_kind(kind, said):
    zone = Zone(name="thing", kind=kind, west=q("3 m"), east=q("5 m"), south=q("3 m"), north=q("4 m"))
    found = [one.message for one in assess(placed(4.0, site=room(zone))).findings if one.code == "through-zone"]
    assert found == [said]


def test_a_hose_that_does_not_reach_fails_the_sets_of_its_machine():
    short = placed(3.0, Hose(length=si(0.3)), port=("4 m", "6 m", "2 m"), site=room())
    sets = (GateSet(name="at work", open=("saw",)), GateSet(name="idle"))
    result = assess(replace(short, gate_sets=sets))
    assert any(found.code == "hose-short" and found.severity == "fault" for found in result.findings)
    assert result.worst(result.sets[0]) == "fault" and result.worst(result.sets[1]) != "fault"


def test_a_duct_outside_the_walls_is_a_fault_where_the_collector_stands_inside():
    def two_runs(north: str, faces: str):
        made = placed(3.0, at=("4 m", north, "2 m"), faces=faces, site=room())
        duct = replace(made.runs[0], ends=None)
        return replace(made, runs=(duct, replace(made.runs[0], id="beyond", joins="duct")))

    assert told(two_runs("7 m", "north"), "through-wall") == [("fault", "beyond"), ("note", "duct")]
    assert told(two_runs("12 m", "south"), "through-wall") == [("note", "duct")]  # from a collector outside, in through the wall


def test_the_shortest_straight_is_the_stock_s_where_it_says():
    made = placed(1.0, 0.05)
    longest = replace(made, stock=tuple(replace(stock, shortest=q("60 mm")) for stock in made.stock))
    least = replace(made, stock=tuple(replace(stock, shortest=q("40 mm")) for stock in made.stock))
    assert told(longest, "short-straight") == [("note", "duct")] and told(least, "short-straight") == []


@pytest.mark.parametrize(
    ("pieces", "found"),
    [
        ('{ straight = "380 mm" }, { elbow', "fittings leave 0.057 m of pipe of its 0.38 m, shorter than 0.06 m that can be made"),
        ('{ straight = "300 mm" }, { elbow', "the fittings at its ends want 0.323 m of the 0.3 m between them"),
        ('{ straight = "390 mm" }, { elbow', None),
    ],
)  # fmt: skip
def test_bodies_of_fittings_leave_pipe_that_can_be_made(pieces, found):
    """Beyond a wye of 160 and 100 mm at 45 deg, (160 * sqrt 2 + 100) / 2 + 20 mm; a sleeve of 80 mm and a gate of 60 mm: 323 mm, or a sleeve more."""
    text = TEXT.replace(FLAT, "").replace('{ straight = "800 mm" }, { elbow', pieces)
    told = [made.message for made in assess(loads(text)).findings if made.code == "short-straight" and made.where == "saw drop"]
    assert told == ([found] if found else [])
