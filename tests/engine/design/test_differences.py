"""Differences between designs in words. Designs are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine import edits, load
from engine.design import Elbow, Hose, Straight
from engine.design.differences import Change, changes
from engine.design.places import PieceAt, put
from tests import DEMO_FILES
from tests.shops.small_shops import machine, q, run, shop

DEMOS = DEMO_FILES


@pytest.fixture
def design():
    pieces = (1.0, Elbow(angle=q("90 deg", "angle"), toward="east"), Hose(length=q("2.4 m")))
    return shop(run("main", "collector", 160, *pieces, ends="saw/hood"), machines=[machine("saw")])


def told(before, after) -> list[str]:
    return [str(change) for change in changes(before, after)]


def test_equal_designs_differ_in_nothing(design):
    assert changes(design, replace(design)) == ()


def test_a_value_is_named_by_its_piece(design):
    shorter = edits.set_field(design, PieceAt(0, 2), "length", q("1 m"))
    assert changes(design, shorter) == (Change("hose of main, hose", "2.4 m", "1 m"),)


def test_a_piece_put_in_and_one_made_another(design):
    more = edits.insert(design, PieceAt(0, 1), Straight(length=q("3 m")))
    assert told(design, more) == ["straight 2 of main: 3 m, new"]
    other = put(design, PieceAt(0, 2), Straight(length=q("2.4 m")))
    assert told(design, other) == ["hose of main: hose 2.4 m -> straight 2.4 m"]


def test_rows_come_and_go_by_name(design):
    assert told(design, replace(design, machines=(*design.machines, machine("lathe")))) == ["lathe: 1 port, new"]
    gone = replace(design, machines=())
    assert told(design, gone) == ["saw: 1 port, gone"]


def test_a_change_of_order_is_told(design):
    two = replace(design, machines=(*design.machines, machine("lathe")))
    assert told(two, replace(two, machines=two.machines[::-1])) == ["order of machines: saw, lathe -> lathe, saw"]


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_whatever_differs_is_told(path):
    design = load(path)
    for other in map(load, DEMOS):
        assert bool(changes(design, other)) == (design != other)
        for change in changes(design, other):
            assert change.what and change.before != change.after and "Quantity(" not in str(change) and "None" not in str(change)


def test_a_value_not_given_is_told_as_what_then_holds():
    before = load(DEMOS[1])
    assert before.collector.filter is None
    after = replace(before, collector=replace(before.collector, filter="clean"))
    after = replace(after, gate_sets=(replace(before.gate_sets[0], open=("planer", "peg lathe")), *before.gate_sets[1:]))
    assert changes(before, after) == (
        Change("collector, filter", "used", "clean"), Change("gate set planer alone, open", "planer", "planer, peg lathe"),
    )  # fmt: skip
