"""Balancing by throttled gates: against every combination of openings on small shops, and what the answer says."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from itertools import product
from math import floor
from random import Random

import pytest

from engine import compile_tree, load, solve
from engine.air.losses.gates import open_gate, throttled
from engine.air.one.network import ports_for
from engine.checks.assess import assess
from engine.design import Gate, GateSet, Leakage, Throttle
from engine.design.rules.consistency import mistakes
from engine.files.design_file import DesignFileError, dumps, dumps_whole, loads
from engine.files.store_file import complete
from engine.report.searches.throttling import as_json, as_text
from engine.search.proposals import standing
from engine.search.throttling import LEAST_OPEN, all_throttled, opening_of, throttling, throttlings
from tests import SAVED_DESIGNS
from tests.shops.set_shops import ANY_SPEED, seeded
from tests.shops.small_shops import machine, run, shop, si

DEMOS = SAVED_DESIGNS
COARSE = (1.0, 0.8, 0.65, 0.5, 0.4, 0.3, 0.2, 0.1)
FINE = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.45, 0.4, 0.35, 0.3, 0.25, 0.2, 0.15, 0.1, 0.05)


def shares(design, openings, name=None):
    """What each working port gets of its need with these gates part open, solved anew."""
    gate_set, tree = next(one for one in design.gate_sets if name in (None, one.name)), compile_tree(design)
    balance = solve(tree, ports_for(tree, gate_set.open), throttled=openings)
    return {port: state.flow / state.needs for port, state in balance.ports.items() if port.split("/")[0] in gate_set.open}


def drops(*needs, lengths=(2.0, 4.0, 6.0), bores=(125, 125, 125), **rest):
    """Drops on one main, each with a gate."""
    runs = [run("main", "collector", 160, 3.0)]
    for i, _ in enumerate(needs):
        if i:
            runs.append(run(f"main {i}", runs[-2].id if i > 1 else "main", 160, 1.5))
        runs.append(
            run(
                f"drop {i}",
                f"main {i}" if i else "main",
                bores[i],
                Gate(name=f"gate {i}"),
                lengths[i],
                as_="branch",
                angle=si(0.6),
                ends=f"m{i}/hood",
            )
        )
    names = tuple(f"m{i}" for i in range(len(needs)))
    machines = [machine(name, bore, need) for name, bore, need in zip(names, bores, needs, strict=False)]
    return shop(*runs, machines=machines, sets=[names], conveying=ANY_SPEED, **rest)


def grid_best(design, gates, steps):
    return max(min(shares(design, dict(zip(gates, chosen, strict=True))).values()) for chosen in product(steps, repeat=len(gates)))


@pytest.mark.parametrize("needs", [(0.15, 0.30), (0.30, 0.15), (0.1, 0.25), (0.2, 0.21)])
def test_two_machines_reach_the_best_of_every_combination(needs):
    design = drops(*needs)
    [name] = [one.name for one in design.gate_sets]
    found = throttling(design, name, even=True)
    best = grid_best(design, ("gate 0", "gate 1"), FINE)
    assert min(found.after.values()) >= best - 0.005
    assert found.after == pytest.approx(shares(design, {row.gate: row.open for row in found.openings}), rel=1e-6)


@pytest.mark.parametrize("needs", [(0.10, 0.16, 0.22), (0.2, 0.1, 0.15)])
def test_three_machines_reach_the_best_of_every_combination(needs):
    design = drops(*needs)
    found = throttling(design, design.gate_sets[0].name, even=True)
    assert min(found.after.values()) >= grid_best(design, ("gate 0", "gate 1", "gate 2"), COARSE) - 0.005


@pytest.mark.parametrize("seed", [1, 3, 7, 12, 22])
def test_random_shops_reach_the_best_of_every_combination(seed):
    rng, design = Random(seed), seeded(seed)
    chosen = tuple(rng.sample([one.id for one in design.machines], min(2, len(design.machines))))
    design = replace(design, gate_sets=(GateSet(name="both", open=chosen),))
    flows = shares(design, {})
    machines = []
    for one in design.machines:
        got = flows.get(f"{one.id}/hood", 1.0) * one.ports[0].needs.si
        machines.append(replace(one, ports=(replace(one.ports[0], needs=si(max(got * rng.choice([0.6, 0.9, 1.1, 1.3]), 1e-3))),)))
    design = replace(design, machines=tuple(machines))
    gates = [f"gate {name}" for name in chosen]
    best = grid_best(design, gates, FINE)
    assert min(throttling(design, "both", even=True).after.values()) >= best - 0.006
    assert throttling(design, "both").met or best < 1.0


def test_needs_are_met_by_the_least_throttling():
    """Just the gate of the machine that has more than enough, and a step wider it would not do."""
    design = drops(0.12, 0.31)
    found = throttling(design, "m0 + m1")
    assert found.before["m1/hood"] < 1 < found.before["m0/hood"] and found.met
    [opening] = found.openings
    assert opening.gate == "gate 0" and opening.travel == pytest.approx(opening.open * 0.125) and opening.bore == pytest.approx(0.125)
    assert min(shares(design, {"gate 0": opening.open}).values()) >= 1.0
    assert min(shares(design, {"gate 0": opening.open + 0.01}).values()) < 1.0
    assert floor(100 * opening.open + 0.5) / 100 == pytest.approx(opening.open)


def test_even_gives_the_neediest_more_and_throttles_more():
    design = drops(0.12, 0.31)
    least, even = throttling(design, "m0 + m1"), throttling(design, "m0 + m1", even=True)
    assert min(even.after.values()) > min(least.after.values()) and even.openings[0].open < least.openings[0].open
    [opening] = even.openings
    for beside in (opening.open - 0.01, opening.open + 0.01):  # gates are set in hundredths
        assert min(even.after.values()) > min(shares(design, {"gate 0": beside}).values())


def test_the_last_thousandths_of_a_need_are_worth_throttling_for():
    """A gain too small to bother with is taken where it is what makes a need met."""
    flow = shares(drops(0.12, 1.0), {})["m1/hood"]  # of a need of 1 m3/s
    found = throttling(drops(0.12, flow / 0.998), "m0 + m1")
    assert min(found.before.values()) == pytest.approx(0.998) and min(found.after.values()) < 1.002
    assert found.met and found.openings and found.proposal is not None


def test_more_need_is_met_with_narrower_gates_until_it_is_not_met():
    answers = [throttling(drops(0.12, need), "m0 + m1") for need in (0.27, 0.29, 0.3, 0.31, 0.32, 0.35, 0.4, 0.5)]
    met = [answer.met for answer in answers]
    assert met == sorted(met, reverse=True) and met[0] and not met[-1]
    wide = [sum(row.open for row in answer.openings) + 2 - len(answer.openings) for answer in answers if answer.met]
    assert wide == sorted(wide, reverse=True) and wide[0] == 2


def test_the_plain_no_says_how_far_it_goes():
    design = drops(0.12, 0.4)
    found = throttling(design, "m0 + m1")
    least = min(found.after.values())
    assert not found.met and least > min(found.before.values()) + 0.05
    assert found.said.startswith("no: even with every other gate throttled, m1/hood gets " + f"{floor(100 * least)} % of its need")
    assert "alone it gets" in found.said and found.proposal is not None


def test_nothing_to_throttle_where_all_have_enough():
    design = drops(0.05, 0.05)
    found = throttling(design, "m0 + m1")
    assert found.met and found.openings == () and found.proposal is None and found.said.startswith("nothing to throttle")
    assert found.after == found.before


def test_gates_that_stand_too_narrow_are_opened():
    design = drops(0.05, 0.05)
    narrow = replace(design, gate_sets=(replace(design.gate_sets[0], throttle=(Throttle(gate="gate 0", open=0.1),)),))
    found = throttling(narrow, "m0 + m1")
    assert found.met and found.openings == () and found.proposal.design == design
    assert found.proposal.title == "m0 + m1: gates wide open"


def test_a_gate_of_several_ports_keeps_the_neediest_of_them():
    """One gate, two ports behind it, and a machine of its own beside."""
    design = shop(
        run("main", "collector", 160, 3.0),
        run("shared", "main", 125, Gate(name="shared gate"), 2.0, as_="branch"),
        run("left", "shared", 100, 1.0, as_="branch", ends="a/hood"), run("right", "shared", 100, 1.0, ends="b/hood"),
        run("far", "main", 100, Gate(name="far gate"), 8.0, ends="c/hood"),
        machines=[machine("a", needs=0.06), machine("b", needs=0.08), machine("c", needs=0.135)], sets=[("a", "b", "c")], conveying=ANY_SPEED,
    )  # fmt: skip
    found = throttling(design, "a + b + c", even=True)
    assert min(found.after.values()) >= grid_best(design, ("shared gate", "far gate"), FINE) - 0.005
    assert {row.gate for row in found.openings} <= {"shared gate", "far gate"} and found.openings


def test_a_port_that_takes_what_the_other_behind_its_gate_lacks_is_named():
    """One machine, one gate, a short wide way to the one port and a long narrow one to the other."""
    saw = machine("saw", needs=0.2)
    saw = replace(saw, ports=(saw.ports[0], replace(saw.ports[0], id="guard", needs=si(0.06))))
    design = shop(
        run("main", "collector", 160, 3.0), run("drop", "main", 125, Gate(name="saw gate"), 2.0, as_="branch"),
        run("below", "drop", 80, 9.0, ends="saw/hood"), run("above", "drop", 100, 0.5, as_="branch", ends="saw/guard"),
        machines=[saw], sets=[("saw",)], conveying=ANY_SPEED,
    )  # fmt: skip
    found = throttling(design, design.gate_sets[0].name)
    assert found.after["saw/hood"] < 1.0 < found.after["saw/guard"] and not found.met
    assert "saw/guard, behind the same gate, takes " in found.said and "leaves saw/hood more" in found.said


def test_without_gates_there_is_nothing_to_draw_in():
    design = shop(
        run("main", "collector", 160, 3.0),
        run("a drop", "main", 125, 1.0, as_="branch", ends="a/hood"), run("b drop", "main", 100, 9.0, ends="b/hood"),
        machines=[machine("a", needs=0.05), machine("b", needs=0.5)], sets=[("a", "b")],
    )  # fmt: skip
    found = throttling(design, "a + b")
    assert not found.met and found.openings == () and found.proposal is None
    assert found.said.startswith("no: throttling gives b/hood no more than")


def test_a_set_without_working_ports_or_of_no_such_name():
    design = replace(drops(0.1, 0.1), machines=(machine("m0", needs=0.0), machine("m1", needs=0.0)))
    assert throttling(design, "m0 + m1").said == "no: no machine at work has a duct and a need"
    with pytest.raises(KeyError):
        throttling(design, "no such set")


@pytest.mark.parametrize("demo", ["signal_box", "signal_box_mended", "boat_shed"])
def test_what_is_proposed_for_a_demo_is_what_an_assessment_finds(demo):
    design = load(DEMOS / f"{demo}.toml")
    before = assess(design)
    steps = list(throttlings(design, before))
    assert [step.done for step in steps[:-1]] == list(range(1, len(steps))) and steps[-1].done == steps[-2].done
    for proposal in steps[-1].proposals:
        assert mistakes(proposal.design) == () and loads(dumps_whole(proposal.design)) == complete(proposal.design)
        now = standing(assess(proposal.design))
        assert replace(now, share=None) == replace(proposal.standing, share=None)
        assert now.share == pytest.approx(proposal.standing.share, rel=1e-6)


@pytest.mark.parametrize(
    ("needs", "told"),
    [
        ((0.05, 0.05), ("every machine gets its need in 1; gates left part open help in none", "divide the air more evenly in 1")),
        ((0.12, 0.29), ("every machine gets its need in none; gates left part open help in 1", "divide the air more evenly in 1")),
    ],
)  # fmt: skip
def test_the_summary_tells_what_is_wanting_and_what_helps(needs, told):
    design = drops(*needs)
    for even, words in zip((False, True), told, strict=True):
        last = list(throttlings(design, even=even))[-1]
        assert last.said.startswith("1 gate set of several machines; ") and last.said.endswith(words)
    throttled = all_throttled(design, [throttling(design, "m0 + m1", even=True)])
    assert list(throttlings(throttled, even=True))[-1].said.endswith("in 1, 1 of which as it is")


def test_slow_runs_that_throttling_makes_are_told():
    design = load(DEMOS / "signal_box.toml")
    found = throttling(design, "router and bench", even=True)
    fresh = {(f.code, f.where) for f in assess(found.proposal.design).findings if f.gate_set == "router and bench" and f.severity == "fault"}
    told = {(f.code, f.where) for f in found.added if f.severity == "fault"}
    assert ("slow-run", "main") in told <= fresh and "adds 4 faults: slow-run at main, " in found.proposal.reason


def test_all_sets_are_written_at_once():
    design = load(DEMOS / "boat_shed.toml")
    found = [throttling(design, one.name, even=True) for one in design.gate_sets[2:4]]
    changed = all_throttled(design, found)
    assert [len(one.throttle) for one in changed.gate_sets[:5]] == [0, 0, 1, 1, 0] and mistakes(changed) == ()
    assert all_throttled(design, []) is design


def test_leaks_and_shut_gaps_are_counted_in():
    design = drops(0.12, 0.29, leakage=Leakage(tightness="A", shut_gate=si(2e-4)))
    found = throttling(design, "m0 + m1")
    assert found.met and found.openings and min(shares(design, {row.gate: row.open for row in found.openings}).values()) >= 1.0


@pytest.mark.parametrize("share", [0.06, 0.2, 0.35, 0.5, 0.77, 0.95, 1.0])
def test_an_opening_undoes_the_law_of_the_gate(share):
    assert opening_of(throttled(share) - open_gate()) == pytest.approx(share, abs=1e-6)


def test_no_gate_is_nearer_to_shut_than_a_design_may_say():
    """A twentieth of its way: what wants less stops there, and is written as it is."""
    assert opening_of(1e9) == LEAST_OPEN == 0.05
    design = drops(0.004, 0.33)
    found = throttling(design, "m0 + m1", even=True)
    [opening] = found.openings
    assert opening.open == 0.05 and found.after["m0/hood"] > 1.1 * found.after["m1/hood"]


@pytest.mark.parametrize(("share", "may"), [(LEAST_OPEN, True), (LEAST_OPEN - 0.001, False)])
def test_a_design_may_say_the_least_opening_and_none_below_it(share, may):
    design = load(DEMOS / "boat_shed.toml")
    gate = next(piece.name for run in design.runs for piece in run.pieces if isinstance(piece, Gate))
    narrow = replace(design.gate_sets[0], throttle=(Throttle(gate=gate, open=share),))
    text = dumps(replace(design, gate_sets=(narrow, *design.gate_sets[1:])))
    if may:
        assert narrow in loads(text).gate_sets
    else:
        with pytest.raises(DesignFileError, match=r"0\.05"):
            loads(text)


def test_text_fits_80_columns_and_json_reads_back():
    design = load(DEMOS / "boat_shed.toml")
    found = [throttling(design, one.name) for one in design.gate_sets if len(one.open) > 1]
    text = as_text(design, found)
    assert max(map(len, text.splitlines())) <= 80 and re.search(r"\d+ % open: [0-9.]+ in of \d in", text)
    told = json.loads(as_json(design, found))
    assert [one["met"] for one in told["gate_sets"]] == [one.met for one in found]
