"""Sheets as text fit 80 columns; tables as CSV read back, and nothing in them is a formula."""

from __future__ import annotations

import csv

import pytest

from engine.report.page.blocks import Card, Table, Words
from engine.report.page.contents.told import head
from engine.report.page.forms import written
from engine.report.page.job import Job
from engine.report.page.plain import as_csv, as_text
from engine.report.page.sheets import NAMES, SHEETS, Made, SheetError, picked
from tests.shops.parts_shop import canoe_loft


def test_every_sheet_fits_80_columns(demo):
    job, sheets = demo
    text = as_text(job.design.name, tuple(head(job)), sheets)
    assert max(map(len, text.splitlines())) <= 80
    assert all(sheet.title in text for sheet in SHEETS)


def test_no_word_of_a_table_is_lost_however_narrow_it_gets():
    table = Table("", tuple("abcdefgh"), (tuple(f"{letter * 30} end{letter}" for letter in "abcdefgh"),))
    text = as_text("", (), [Made("x", "x", (table,))])
    assert max(map(len, text.splitlines())) <= 80
    assert all(sum(line.count(letter) for line in text.splitlines()[5:]) >= 30 for letter in "abcdefgh")


def test_tables_read_back_with_as_many_cells_as_heads():
    rows = [*csv.reader(written(Job(canoe_loft()), picked("parts,cuts,results"), "csv").splitlines())]
    blocks, block = [], []
    for row in [*rows, []]:
        if row:
            block.append(row)
        else:
            blocks.append(block)
            block = []
    warnings, *blocks = blocks
    assert {len(row) for row in warnings} == {1} and len(blocks) > 2
    assert all(len(row) == len(heads) for _, heads, *body in blocks for row in body)


@pytest.mark.parametrize("cell", ['=HYPERLINK("x")', "+1+2", "-a", "@sum", "+35 -36", "-1-1"])
def test_a_cell_is_never_a_formula(cell):
    table = Table("", ("what",), ((cell,), ("-3.5",)))
    *_, told, number = csv.reader(as_csv((), [Made("x", "x", (Card("", (table,)),))]).splitlines())
    assert told == [f"'{cell}"] and number == ["-3.5"]


def test_what_must_not_be_missed_stands_over_the_tables():
    first, *_ = as_csv((Words("Do not build it.", "warning"), Words("by the way")), [Made("x", "x", (Table("", ("a",), ()),))]).splitlines()
    assert first == "Do not build it."


def test_sheets_are_picked_by_name_in_the_order_they_are_printed():
    assert [sheet.name for sheet in picked("cuts, gates,cautions")] == ["cautions", "cuts", "gates"]
    assert picked(None) == SHEETS


@pytest.mark.parametrize("text", ["gate", "", "gates,,cuts", "gates,Cuts"])
def test_a_name_that_no_sheet_has_is_told_with_those_there_are(text):
    with pytest.raises(SheetError) as raised:
        picked(text)
    assert NAMES[0] in str(raised.value) and "\n" not in str(raised.value)
