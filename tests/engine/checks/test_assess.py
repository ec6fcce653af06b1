"""An assessment after an edit equals one made from nothing, and the demos say what they are meant to say."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from engine import load
from engine.checks.assess import assess
from engine.design import Straight
from engine.design.places import (
    COLLECTOR,
    DESIGN,
    LEAKAGE,
    SITE,
    CurvePointAt,
    GateSetAt,
    MachineAt,
    PieceAt,
    PortAt,
    RunAt,
    SizeAt,
    StockAt,
    ZoneAt,
    whole,
)
from engine.edits import at, set_field
from engine.units import make, parse
from tests import DEMO_FILES, SAVED_DESIGNS

DEMOS = SAVED_DESIGNS


def figures(assessment):
    """Every flow, speed and suction, by set."""
    return {
        result.gate_set.name: {run: (s.flow, s.velocity, s.loss, s.suction_near, s.suction_far) for run, s in result.balance.runs.items()}
        for result in assessment.sets
    }


def told(assessment):
    return [(f.code, f.severity, f.where, f.gate_set, f.message) for f in assessment.findings]


EDITS = [
    lambda d: set_field(d, PieceAt(0, 0), "length", make(3.3, "length", "metric")),
    lambda d: set_field(d, PieceAt(1, 0), "length", make(2.2, "length", "metric")),
    lambda d: set_field(d, CurvePointAt(2), "pressure", make(1500.0, "pressure", "metric")),
    lambda d: set_field(d, SITE, "altitude", make(1500.0, "length", "metric")),
    lambda d: set_field(d, PortAt(0, 0), "loss", 4.0),
    lambda d: set_field(d, SizeAt(0, 2), "bore", parse("118 mm", "bore")),
    lambda d: set_field(d, StockAt(0), "roughness", parse("0.4 mm", "roughness")),
    lambda d: set_field(d, LEAKAGE, "tightness", "A"),
    lambda d: set_field(d, MachineAt(1), "north", make(2.9, "length", "metric")),
    lambda d: set_field(d, COLLECTOR, "up", make(1.7, "length", "metric")),
    lambda d: set_field(d, SITE, "height", make(1.9, "length", "metric")),
    lambda d: set_field(d, ZoneAt(0), "bottom", make(1.5, "length", "metric")),
    lambda d: set_field(d, GateSetAt(0), "hours", 9.0),
    lambda d: set_field(d, COLLECTOR, "filter", "dirty"),
    lambda d: set_field(d, DESIGN, "display", "imperial"),
    lambda d: replace(d, runs=d.runs[:-1]),
]


@pytest.mark.parametrize("demo", ["signal_box", "signal_box_mended", "boat_shed"])
@pytest.mark.parametrize("edit", EDITS)
def test_an_assessment_after_an_edit_equals_a_fresh_one(demo, edit):
    design = load(DEMOS / f"{demo}.toml")
    before = assess(design)
    after = edit(design)
    quick, fresh = assess(after, before), assess(after)
    assert told(quick) == told(fresh)
    for name, runs in figures(fresh).items():
        for run, values in runs.items():
            assert figures(quick)[name][run] == pytest.approx(values, rel=1e-6, abs=1e-4)
    back = assess(design, quick)
    assert told(back) == told(before)


def test_what_does_not_touch_the_air_is_not_solved_again():
    design = load(DEMOS / "signal_box.toml")
    before = assess(design)
    after = assess(replace(design, notes="checked", display="imperial"), before)
    assert all(new is old for new, old in zip(after.sets, before.sets, strict=True))
    moved = assess(set_field(design, PieceAt(3, 0), "length", make(1.1, "length", "metric")), before)
    assert sum(new is old for new, old in zip(moved.tree.ducts, before.tree.ducts, strict=True)) == len(before.tree.ducts) - 1


def test_a_gate_set_keeps_its_answer_when_what_changed_is_shut_off_in_it():
    """Edit after edit, each assessed from the one before: all is as if assessed anew, and what cannot have changed is not solved again."""
    design, random = load(DEMOS / "boat_shed.toml"), Random(7)
    straights = [(i, j) for i, run in enumerate(design.runs) for j, piece in enumerate(run.pieces) if isinstance(piece, Straight)]
    quick, kept_sets = assess(design), 0
    for _ in range(12):
        run, piece = random.choice(straights)
        design = set_field(design, PieceAt(run, piece), "length", make(random.uniform(0.3, 3.0), "length", "imperial"))
        before, quick = quick, assess(design, quick)
        fresh = assess(design)
        assert told(quick) == told(fresh)
        for name, runs in figures(fresh).items():
            assert figures(quick)[name] == {run: pytest.approx(row, rel=1e-6, abs=1e-4) for run, row in runs.items()}
        at = design.runs[run].id
        for old, new in zip(before.sets, quick.sets, strict=True):
            kept_sets += new is old
            assert new is not old or not new.balance.runs[at].flow
    assert kept_sets > 12


def test_the_flawed_workshop_shows_its_flaws_and_the_mended_one_has_no_faults():
    flawed = assess(load(DEMOS / "signal_box.toml"))
    codes = {(f.code, f.where) for f in flawed.findings}
    assert {("slow-run", "main"), ("long-hose", "lathe drop"), ("square-tee", "sander drop"), ("hand-tool-port", "plate router/shoe")} <= codes
    assert ("through-zone", "lathe drop") in codes and len([f for f in flawed.findings if f.severity == "fault"]) > 5
    mended = assess(load(DEMOS / "signal_box_mended.toml"))
    assert mended.count("fault") == 0 and all(mended.passes(result) for result in mended.sets)


@pytest.mark.parametrize("demo", ["signal_box", "signal_box_mended", "boat_shed"])
def test_the_demos_close_in_space(demo):
    design = load(DEMOS / f"{demo}.toml")
    result = assess(design)
    assert set(result.look.space.gaps) == {run.ends for run in design.runs if run.ends}
    assert not {"hose-short", "bent-hose", "too-high", "through-wall", "ducts-cross"} & {f.code for f in result.findings}


def test_slowest_and_neediest_are_the_worst_of_their_set():
    result = assess(load(DEMOS / "boat_shed.toml"))
    for answer in result.sets:
        run, speed = result.slowest(answer)
        carrying = {name: s.velocity / result.limits(name).slow.value for name, s in answer.balance.runs.items() if s.carries}
        assert speed / result.limits(run).slow.value == min(carrying.values())
        port, share = result.neediest(answer)
        state = answer.balance.ports[port]
        assert share == state.flow / state.needs == min(s.flow / s.needs for s in answer.balance.ports.values())


def test_a_machine_with_two_ports_draws_through_both():
    result = assess(load(DEMOS / "boat_shed.toml"))
    [alone] = [answer for answer in result.sets if answer.gate_set.name == "table saw"]
    assert set(alone.open_ports) == {"table saw/cabinet", "table saw/guard"}
    assert at(result.design, MachineAt(0)).id == "table saw"


def test_a_finding_names_its_place_as_it_is_in_the_design():
    kinds = set()
    for path in DEMO_FILES:
        assessment = assess(load(path))
        look = assessment.look
        named = {place: name for name, place in ({"collector": COLLECTOR} | dict(look.runs_at) | dict(look.ports_at)).items()}
        for found in assessment.findings:
            assert found.where == named[found.place if isinstance(found.place, PortAt) else whole(found.place)]
            kinds.add(type(found.place))
    assert {RunAt, PieceAt, PortAt} <= kinds
