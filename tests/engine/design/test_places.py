"""What things are called, and where they stand."""

from __future__ import annotations

import pytest

from engine.design.names import fresh_name, label
from engine.design.places import (
    COLLECTOR,
    CURVE,
    DESIGN,
    RUNS,
    SITE,
    CornerAt,
    CurvePointAt,
    EndOf,
    GateSetAt,
    JointOf,
    LossAt,
    MachineAt,
    OutletPieceAt,
    PieceAt,
    PortAt,
    Row,
    Rows,
    RunAt,
    SizeAt,
    StockAt,
    ThrottleAt,
    ZoneAt,
    at,
    place_at,
    put,
    whole,
)
from tests.shops.toy_horse_works import workshop

SHOP = workshop()
MAIN, DROP = RunAt(0), RunAt(1)


def test_fresh_names():
    assert fresh_name("main", {"drop"}) == "main"
    assert fresh_name("main", {"main", "main 2"}) == "main 3"
    assert fresh_name("main 2", {"main", "main 2"}) == "main 3"
    long = "x" * 80
    assert fresh_name(long, {long}) == "x" * 78 + " 2"
    assert fresh_name(long + " branch", set()) == long


@pytest.mark.parametrize(
    ("place", "name"),
    [
        (DESIGN, "Toy-horse works"), (SITE, "site"), (COLLECTOR, "collector"), (CurvePointAt(2), "curve point 3"),
        (LossAt(0), "filter"), (StockAt(1), "hose"), (SizeAt(0, 1), "pipe/125"), (MachineAt(1), "band saw"),
        (PortAt(0, 1), "planer/table"), (MAIN, "main"), (PieceAt(MAIN.run, 3), "elbow 2 of main"),
        (PieceAt(DROP.run, 1), "straight of planer drop"), (PieceAt(DROP.run, 0), "gate of planer drop"),
        (PieceAt(DROP.run, 2), "own loss of planer drop"), (GateSetAt(0), "gate set planer alone"),
    ],
)  # fmt: skip
def test_labels(place, name):
    assert label(SHOP, place) == name


EVERY_KIND = [
    RunAt(3), PieceAt(1, 2), MachineAt(0), PortAt(0, 1), StockAt(1), SizeAt(0, 2), GateSetAt(1), ThrottleAt(0, 3), CurvePointAt(2), LossAt(0),
    OutletPieceAt(1), CornerAt(4), ZoneAt(2), COLLECTOR, SITE, DESIGN, RUNS, CURVE, Rows(RunAt(2), "pieces"),
]  # fmt: skip


@pytest.mark.parametrize("place", EVERY_KIND, ids=str)
def test_a_place_is_what_its_steps_lead_to(place):
    assert place_at(*place.steps) == place and hash(place_at(*place.steps)) == hash(place)


@pytest.mark.parametrize("place", [place for place in EVERY_KIND if isinstance(place, Row)], ids=str)
def test_a_row_knows_its_list_and_its_neighbours(place):
    assert place.rows.row(place.index) == place and place.holder == place.rows
    assert place.beside(1).index == place.index + 1 and place.beside(1).rows == place.rows


def test_kinds_of_places_differ_though_their_numbers_do_not():
    assert len({RunAt(0), MachineAt(0), JointOf(0), EndOf(0), StockAt(0)}) == 5


def test_at_a_joint_and_an_end_stands_the_run_and_neither_is_a_row():
    for place in (JointOf(1), EndOf(1)):
        assert at(SHOP, place) is SHOP.runs[1] and place.holder == RunAt(1) and not isinstance(place, Row)


def test_the_whole_of_a_place():
    assert [whole(place) for place in (PieceAt(2, 0), EndOf(2), PortAt(1, 1), CurvePointAt(0))] == [RunAt(2), RunAt(2), MachineAt(1), CurvePointAt(0)]


def test_what_is_put_at_a_place_is_there_and_the_rest_stays():
    after = put(SHOP, PieceAt(0, 0), SHOP.runs[1].pieces[1])
    assert at(after, PieceAt(0, 0)) is SHOP.runs[1].pieces[1] and after.runs[1:] == SHOP.runs[1:]
    with pytest.raises(IndexError):
        at(SHOP, RunAt(99))
