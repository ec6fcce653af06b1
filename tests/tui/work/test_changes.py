"""Old -> new of an edit, and where findings lead."""

from __future__ import annotations

import pytest

from engine import edits
from engine.checks.assess import assess
from engine.design.places import COLLECTOR, EndOf, GateSetAt, MachineAt, PieceAt, PortAt, RunAt
from engine.units import parse
from tests.shops.one_drop import LENGTH, design, set_length
from tui.work.document import Document
from tui.work.edits import changes
from tui.work.selection import row_of


def changed(place, text: str = "40 m") -> str:
    document = Document(design())
    before = assess(document.design)
    set_length(document, text)
    document.select(place)
    return changes.describe(document, before, assess(document.design))


def test_the_speed_of_the_selected_run_in_display_units():
    text = changed(LENGTH)
    assert text.startswith("main speed ") and text.endswith(" m/s")
    old, _, new = text.removeprefix("main speed ").removesuffix(" m/s").partition(" -> ")
    assert float(new) < float(old)


@pytest.mark.parametrize(("place", "start"), [(MachineAt(0), "saw/hood flow "), (COLLECTOR, "flow "), (RunAt(1), "drop speed ")])
def test_the_figure_fits_what_is_selected(place, start):
    assert changed(place).startswith(start)


def test_no_change_says_nothing():
    assert changed(LENGTH, "1000 mm") == ""
    document = Document(design())
    assert changes.describe(document, None, assess(document.design)) == ""


def test_a_gate_set_that_is_new_has_no_old_figure():
    document = Document(design())
    before = assess(document.design)
    document.apply("rename", edits.set_field(document.design, GateSetAt(0), "name", "other"))
    assert changes.describe(document, before, assess(document.design)) == ""


@pytest.mark.parametrize(("place", "row"), [(PieceAt(0, 1), PieceAt(0, 1)), (COLLECTOR, COLLECTOR), (PortAt(0, 0), EndOf(1))])
def test_a_port_is_gone_to_where_its_duct_ends(place, row):
    assert row_of(design(), place) == row


def test_a_port_no_run_ends_at_is_gone_to_at_its_machine():
    loose = edits.set_fields(design(), RunAt(1), {"ends": None})
    assert row_of(loose, PortAt(0, 0)) == PortAt(0, 0)


def test_lengths_typed_in_other_units_count_as_they_are():
    document = Document(design())
    document.apply("length", edits.set_field(document.design, LENGTH, "length", parse("10 ft", "length")))
    assert document.design.runs[0].pieces[0].length.si == pytest.approx(3.048)
