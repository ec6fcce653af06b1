"""What the remedies of findings say, carried out: the finding goes, and no fault, no need and no speed is the worse for it."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest

from engine.checks.assess import Assessment, assess
from engine.checks.rules import rules
from engine.design import Body, Gate, GateSet, GaugePoint, Hose, Machine, OwnLoss, Port
from engine.design.model import Shelf
from tests.shops.remedied import (
    BOTH_SLOW_AND_FAST,
    LID,
    POST,
    Case,
    bend,
    branching,
    capped,
    crossing,
    curved,
    dead_end,
    dirty,
    discharging,
    drop,
    estimated,
    facing,
    far_gate,
    gated,
    hosed,
    lidded,
    measured,
    pair,
    placed,
    room,
    sagging,
    stocked,
    throttled,
    turned,
    two_bores,
    without,
)
from tests.shops.small_shops import machine, q, run, shop, si

OPEN_BOTH = (GateSet(name="a", open=("a", "b")), GateSet(name="b", open=("b",)))
LIVELY = pair(losses=(1.5, 1.5))
SHORT = pair(main=150, needs=(0.27, 0.05), sets=(("a", "b"),))
TOOL = Machine(id="tool", ports=(Port(id="hood", bore=si(0.05), needs=si(0.03), loss=1.0),))
WITH_TOOL = shop(
    run("main", "collector", 160, 4.0),
    run("drop", "main", 160, 2.0, ends="saw/hood"),
    run("tool drop", "main", 80, 1.0, as_="branch", ends="tool/hood"),
    machines=[machine("saw", 160, loss=2.5), TOOL],
)
BLOWN = replace(GATED := pair(sets=(("a", "b"),)), runs=(*GATED.runs[:2], replace(GATED.runs[2], loss=50.0)))
UNCONNECTED = replace(drop(3.0, bore=125), machines=(machine("saw", 125, loss=2.5), machine("planer", 125, loss=2.5)))
CONNECTED = replace(UNCONNECTED, runs=(*UNCONNECTED.runs, run("planer drop", "main", 125, 2.0, as_="branch", ends="planer/hood")))
OPEN_END = shop(run("main", "collector", 160, 4.0), machines=[machine("saw", 160, loss=4.0)], sets=((),))
NARROW_DROP = pair(bores=(100, 125), needs=(0.1, 0.1), losses=(4.0, 5.0))
RISING = pair(bores=(100, 125), needs=(0.1, 0.1), losses=(4.0, 6.0), curve=((0.0, 1500.0), (0.3, 2300.0), (0.5, 2000.0), (0.75, 0.0)))


def reached(before: float, after: float):
    """A drop from a level duct with its gate so far down."""
    return placed(1.0, bend("down"), before, Gate(name="gate"), after, at=("4 m", "1 m", "2.6 m"), site=room())


def bodied(east: str):
    """A duct that leads north from the collector, and a machine as large as a box of 1 m."""
    made = placed(4.0, at=("4 m", "1 m", "0.5 m"), site=room())
    size = Body(east=q("1 m"), north=q("1 m"), up=q("1 m"))
    return replace(made, machines=(*made.machines, replace(machine("lathe"), east=q(east), north=q("3 m"), up=q("0.8 m"), size=size)))


CASES = (
    Case("slow-run", "open another gate on this run", NARROW_DROP, replace(NARROW_DROP, gate_sets=OPEN_BOTH)),
    Case("slow-run", "the next smaller bore", drop(3.0, bore=160, main=160, loss=12.0), drop(3.0, bore=125, main=125, loss=12.0, port=160)),
    Case("slow-run", "clear losses on its way", drop(3.0, OwnLoss(loss=20.0)), drop(3.0)),
    Case(
        "slow-run",
        "open a gate more in the set where it is slow, and throttle",
        BOTH_SLOW_AND_FAST,
        throttled(replace(BOTH_SLOW_AND_FAST, gate_sets=OPEN_BOTH), b=0.45),
    ),
    Case("slow-run", "give both the bore between them", two_bores(100, 140), two_bores(118, 118)),
    Case("fast-run", "the next larger bore", drop(3.0, bore=125, main=125, loss=3.0), drop(3.0, bore=160, main=160, loss=3.0)),
    Case("fast-run", "throttle the gates beyond it", LIVELY, throttled(LIVELY, a=0.5, b=0.5)),
    Case("starved-machine", "fewer gates", SHORT, replace(SHORT, gate_sets=(GateSet(name="a + b", open=("a",)), GateSet(name="b", open=("b",))))),
    Case("starved-machine", "largest loss first", drop(3.0, OwnLoss(loss=20.0), needs=0.4), drop(3.0, needs=0.4)),
    Case("blow-back", "shut this gate", BLOWN, replace(BLOWN, gate_sets=(GateSet(name="a + b", open=("a",)),))),
    Case("no-duct", "let a run end at its port", UNCONNECTED, CONNECTED),
    Case("no-duct", "leave it out of the gate set", UNCONNECTED, without(UNCONNECTED, "planer")),
    Case("capped-end", "name the machine's port", OPEN_END, replace(OPEN_END, runs=(replace(OPEN_END.runs[0], ends="saw/hood"),))),
    Case("headroom", "hang it higher", placed(3.0, site=room()), placed(3.0, site=room(), at=("4 m", "1 m", "2.5 m"))),
    Case("out-of-reach", "bring it down the drop", reached(0.1, 1.0), reached(1.0, 0.1)),
    Case("machine-in-the-way", "lead the run round it, or correct its place", bodied("4 m"), bodied("6 m")),
    Case("body-in-the-way", "correct its place", bodied("0.3 m"), bodied("6 m")),
    Case("short-straight", "make it longer", placed(1.0, bend("up"), 0.01, bend("east")), placed(1.0, bend("up"), 0.3, bend("east"))),
    Case(
        "no-store",
        "put the store file beside",
        replace(OPEN_END, store="town.toml", shelf=Shelf("town.toml", OPEN_END.stock, missing=True)),
        replace(OPEN_END, store="town.toml", shelf=Shelf("town.toml", OPEN_END.stock)),
    ),
    Case(
        "lost-record",
        "name what it is of now",
        replace(OPEN_END, test_points=(GaugePoint(id="A", at="trunk"),)),
        replace(OPEN_END, test_points=(GaugePoint(id="A", at="main"),)),
    ),
    Case("too-weak", "clean the filter", dirty(2500.0), dirty(0.01)),
    Case("rising-curve", "open a gate more", RISING, replace(RISING, gate_sets=OPEN_BOTH)),
    Case(
        "inlet-elbow",
        "a straight of six bores",
        placed(0.4, bend("up"), 2.0),
        placed(0.96, bend("up"), 2.0),
    ),
    Case("past-curve", "the rest of the curve", curved((0.0, 2400.0), (0.3, 2200.0)), curved((0.0, 2400.0), (0.3, 2200.0), (0.72, 0.0))),
    Case("free-air-only", "the maker's curve", estimated(), drop(3.0)),
    Case("straight-curve", "enter the points between", curved((0.0, 2400.0), (0.7222, 0.0)), drop(3.0)),
    Case("impossible-curve", "say what the curve's pressures are", curved(basis="inlet suction"), curved(basis="fan static")),
    Case("impossible-suction", "give `loss` in place of `suction`", measured(suction=si(100.0)), measured(loss=1.5)),
    Case("impossible-suction", "measure again", measured(suction=si(100.0)), measured(suction=si(500.0))),
    Case("lost-way", "across the way", placed(1.2, bend("north"), 2.0), placed(1.2, bend("east"), 2.0)),
    Case("loaded-filter", "more filter area", discharging(filter_area=si(5.0)), discharging(filter_area=si(20.0))),
    Case(
        "loaded-filter",
        "blow the air outside",
        discharging(filter_area=si(5.0)),
        discharging(filter_area=si(5.0), discharge="outside", opening=si(1.0)),
    ),
    Case("make-up-air", "say so as `make_up_opening`", discharging(discharge="outside"), discharging(discharge="outside", opening=si(0.6))),
    Case("all-shut", "leave one gate open", gated(wall=0.003), gated(wall=0.003, b_gate=False)),
    Case("all-shut", "a stronger wall", gated(wall=0.003), gated(wall=0.005)),
    Case("long-hose", "the rigid pipe nearer", hosed(2.5), hosed(0.8, pipe=1.7)),
    Case("crowded-fittings", "a longer straight", drop(1.0, bend(), 0.2, bend(), 1.0), drop(1.0, bend(), 0.5, bend(), 1.0)),
    Case("hard-elbow", "radius 1.5 bores", turned("smooth", 1.0), turned("smooth", 1.5)),
    Case("hard-elbow", "a smooth elbow", turned("mitred", None), turned("smooth", 1.5)),
    Case("hard-elbow", "two mitred ones of half the angle", turned("mitred", None), turned("mitred", None, two=True)),
    Case("square-tee", "a 45", drop(3.0, bore=125, as_="branch", angle=si(pi / 2)), drop(3.0, bore=125, as_="branch", angle=si(pi / 4))),
    Case("square-tee", "or 30 deg", drop(3.0, bore=125, as_="branch", angle=si(pi / 2)), drop(3.0, bore=125, as_="branch", angle=si(pi / 6))),
    Case("choked-port", "a larger bore", drop(3.0, bore=125, port=80, needs=0.2), drop(3.0, bore=125, port=125, needs=0.2)),
    Case("free-exit-twice", "type 0.2", capped(1.2), capped(0.2)),
    Case("guessed-port", "measure", measured(), measured(loss=1.5)),
    Case("hand-tool-port", "a vacuum cleaner of its own", WITH_TOOL, without(WITH_TOOL, "tool")),
    Case(
        "hose-mismatch", "hose of the port's bore", hosed(0.8, port=100, loss=7.0, needs=0.15), hosed(0.8, bore=100, port=100, loss=7.0, needs=0.15)
    ),
    Case("hose-mismatch", "the reducer there as `port_taper`", hosed(0.8, port=100), hosed(0.8, port=100, port_taper=si(pi / 12))),
    Case("wider-outward", "its parent's bore", drop(3.0, bore=160, main=125, loss=9.0), drop(3.0, bore=125, main=125, loss=9.0, port=160)),
    Case("wider-outward", "the parent a larger one", drop(3.0, bore=160, main=125, loss=9.0), drop(3.0, bore=160, main=160, loss=3.0)),
    Case("blunt-taper", "15 deg", drop(3.0, bore=125, taper=si(pi)), drop(3.0, bore=125, taper=si(pi / 12))),
    Case(
        "hose-short",
        "lengthen the pipe before the hose",
        placed(1.0, HOSE := Hose(length=si(0.5)), port=("4 m", "5 m", "2 m")),
        placed(3.6, HOSE, port=("4 m", "5 m", "2 m")),
    ),
    Case(
        "hose-short", "or the hose", placed(3.0, HOSE, port=("4 m", "4.7 m", "2 m")), placed(3.0, Hose(length=si(0.75)), port=("4 m", "4.7 m", "2 m"))
    ),
    Case(
        "bent-hose",
        "turn the pipe toward the port",
        placed(3.0, Hose(length=si(0.8)), port=("4 m", "4 m", "1.3 m")),
        placed(2.7, bend("down", 80.0), Hose(length=si(0.8)), port=("4 m", "4 m", "1.3 m")),
    ),
    Case("gate-after-elbow", "a few bores from the elbow", drop(1.0, Gate(name="g"), 0.1, bend(), 1.0), drop(0.6, Gate(name="g"), 0.5, bend(), 1.0)),
    Case("dead-leg", "nearer to the joint", far_gate(2.0), far_gate(0.0)),
    Case("no-gate", "put a gate on its way", pair(gates=(True, False)), pair()),
    Case("facing-branches", "apart along the main", facing(), facing(apart=True)),
    Case("bottom-entry", "from the side", branching("down"), branching("east")),
    Case("bottom-entry", "from above", branching("down"), branching("up", bend("east"), 1.0)),
    Case("no-cleanout", "a cleanout there", lidded(5.0), lidded(2.5, LID, 2.5)),
    Case("no-cleanout", "a cleanout there", sagging(), sagging(LID)),
    Case("no-cleanout", "a cleanout there", dead_end(2.0), dead_end(2.0, LID)),
    Case("too-high", "bring the run down", placed(1.0, bend("up"), 2.0, site=room()), placed(1.0, bend("up"), 0.5, site=room())),
    Case("through-wall", "lead the run inside", placed(9.0, site=room()), placed(2.0, bend("east"), 2.0, site=room())),
    Case("outside-walls", "correct where it stands", placed(2.0, at=("4 m", "-2 m", "2 m"), site=room()), placed(2.0, site=room())),
    Case("through-zone", "round it", placed(5.0, site=room(POST)), placed(1.0, bend("east"), 1.0, bend("north"), 3.0, site=room(POST))),
    Case(
        "through-zone",
        "above it",
        placed(5.0, site=room(replace(POST, top=q("2.2 m")))),
        placed(5.0, at=("4 m", "1 m", "2.6 m"), site=room(replace(POST, top=q("2.2 m")))),
    ),
    Case("ducts-cross", "above or beside the other", crossing("west"), crossing("up")),
    Case("not-in-store", "a size the store has", stocked(in_store=False), stocked()),
    Case("does-not-mate", "from one family", stocked(outside=si(0.1275)), stocked(outside=si(0.1255))),
    Case("unearthed-pipe", "metal pipe and hose", stocked(conducts=False), stocked()),
)

NOTHING_TO_DO_IN_THE_DESIGN = {
    "no-balance": "it asks to look for what was typed wrong",
    "beyond-class": "it asks to look at seams and lids",
}


def test_every_code_has_its_remedy_carried_out():
    assert {case.code for case in CASES} | set(NOTHING_TO_DO_IN_THE_DESIGN) == set(rules())


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.code}, {case.words}")
def test_a_remedy_mends_its_finding_and_worsens_nothing(case):
    before, after = assess(case.before), assess(case.after)
    mended = {(f.where, f.gate_set) for f in before.findings if f.code == case.code and case.words in f.remedy}
    assert mended, [(f.code, f.remedy) for f in before.findings]
    left = {(f.where, f.gate_set) for f in after.findings if f.code == case.code and case.words in f.remedy}
    assert len(left) < len(mended)
    assert after.count("fault") <= before.count("fault")
    assert neediest(after) >= neediest(before) - 1e-9
    assert runs_at_fault(after) <= runs_at_fault(before)


@pytest.mark.parametrize(("published", "wanted"), [(1.0, "type 0:"), (1.2, "type 0.2:"), (2.3, "type 1.3:")])
def test_the_figure_to_type_for_a_published_cap_is_told(published, wanted):
    """SMACNA, Table A-13A: a round cap at gaps of a whole bore, a half and a quarter; less the free exit's 1.0."""
    [told] = [found for found in assess(capped(published)).findings if found.code == "free-exit-twice"]
    assert f"where {published:g} is a published figure" in told.remedy and wanted in told.remedy
    assert told.remedy.endswith("where 1.0 is off already, leave it")


def neediest(assessment: Assessment) -> float:
    """The least share of a need in any set, of a need met in full 1."""
    shares = [row[1] for result in assessment.sets if (row := assessment.neediest(result))]
    return min([1.0, *shares])


def runs_at_fault(assessment: Assessment) -> int:
    """How many runs are too slow or too fast in some set."""
    return len({(f.code, f.where) for f in assessment.findings if f.code in {"slow-run", "fast-run"}})
