"""Runs in another size. Designs are invented."""

from __future__ import annotations

import pytest

from engine import load
from engine.checks.assess import assess
from engine.design import ports_of
from engine.edits.resizing import all_of, main_of, with_size
from tests import SAVED_DESIGNS

DEMOS = SAVED_DESIGNS


@pytest.fixture(scope="module")
def design():
    return load(DEMOS / "signal_box.toml")


def test_a_main_is_what_goes_straight_on_in_one_size(design):
    whole = ("main", "main 2", "main 3", "main 4", "main 5")
    for run in whole:
        assert main_of(design, run) == whole
    assert main_of(design, "lathe drop") == ("lathe drop",)  # straight on, but of another size
    assert main_of(design, "planer drop") == ("planer drop",)


def test_the_runs_take_the_size_and_their_hoses_with_them(design):
    after = with_size(design, main_of(design, "main"), "spiral/125")
    assert all_of(after, "spiral/125") == ("main", "planer drop", "main 2", "main 3", "main 4", "bench drop", "main 5")
    smaller = with_size(design, ("planer drop",), "spiral/100")
    assert smaller.runs[1].pieces[-1].size == "hose/100" and smaller.runs[0] == design.runs[0]


def test_a_hose_that_fits_its_port_stays_where_the_pipe_gets_wider(design):
    """Its port's bore is what it is pulled on."""
    drop = next(run for run in design.runs if run.id == "lathe drop")
    ports = ports_of(design)
    assert (drop.size, drop.pieces[-1].size) == ("spiral/100", "hose/100") and ports[drop.ends][1].bore.si == pytest.approx(0.1)
    wider = next(run for run in with_size(design, ("lathe drop",), "spiral/125").runs if run.id == "lathe drop")
    assert wider.size == "spiral/125" and wider.pieces[-1].size == "hose/100"
    found = {(one.code, one.where) for one in assess(with_size(design, ("lathe drop",), "spiral/125")).findings}
    assert ("hose-mismatch", "lathe drop") not in found


def test_all_of_a_size_are_those_that_have_it(design):
    assert set(all_of(design, "spiral/100")) == {run.id for run in design.runs if run.size == "spiral/100"}
    assert all_of(design, "spiral/140") == ()
