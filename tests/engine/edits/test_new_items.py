"""New things: they fit where they are put, and are worth what they say."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from engine.design import PIECE_KEYS, GateSet, Run, StockSize
from engine.design.places import CURVE, GATE_SETS, LOSSES, MACHINES, STOCK, CurvePointAt, GateSetAt, MachineAt, PieceAt, Rows, RunAt, SizeAt, StockAt
from engine.edits import EditError, at, delete, insert, new_item, new_piece
from tests.shops.small_shops import q
from tests.shops.toy_horse_works import consistent, workshop

SHOP = workshop()
MAIN, DROP = RunAt(0), RunAt(1)

LISTS = [MACHINES, Rows(MachineAt(0), "ports"), STOCK, Rows(StockAt(0), "sizes"), LOSSES, CURVE, GATE_SETS]


@pytest.mark.parametrize("display", ["metric", "imperial"])
def test_new_things_fit_anywhere_and_say_what_they_are_worth(display):
    shop = workshop(display)
    for rows in LISTS:
        for index in range(len(at(shop, rows)) + 1):
            place = rows.row(index)
            if rows == CURVE and index == 0:
                continue
            consistent(insert(shop, place, new_item(shop, place)))
    for kind, (i, run) in product(PIECE_KEYS, enumerate(shop.runs)):
        piece = new_piece(kind, shop, run)
        assert type(piece) is PIECE_KEYS[kind]
        consistent(insert(shop, PieceAt(i, 0), piece))
    wanted = {"metric": ("1 m", "100 mm"), "imperial": ("3 ft", "4 in")}[display]
    assert new_piece("straight", shop, shop.runs[0]).length.text == wanted[0]
    assert new_item(shop, MachineAt(0)).ports[0].bore.text == wanted[1]


def test_new_things_suit_what_is_there():
    assert new_piece("hose", SHOP, SHOP.runs[1]).size == "hose/125"
    assert new_piece("hose", SHOP, SHOP.runs[0]).size is None, "no stocked hose is near 160 mm"
    assert new_piece("gate", SHOP, SHOP.runs[0]).name == "main gate"
    assert new_item(SHOP, GateSetAt(2)) == GateSet(name="band saw alone", open=("band saw",))
    assert new_item(SHOP, SizeAt(0, 3)) == StockSize(nominal="185", bore=q("185 mm", "bore"))
    with pytest.raises(EditError, match="no room"):
        new_item(SHOP, CurvePointAt(0))
    with pytest.raises(EditError, match="add a branch"):
        new_item(SHOP, RunAt(5))
    empty = delete(SHOP, MAIN)
    assert new_item(empty, RunAt(0)) == Run(id="main", joins="collector", size="pipe/160")
    bare = replace(empty, stock=())
    first = new_item(bare, RunAt(0))
    assert first.bore == SHOP.collector.inlet
    consistent(insert(bare, RunAt(0), first))
