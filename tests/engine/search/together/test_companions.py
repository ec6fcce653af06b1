"""Which machines may work together, against one set at a time and its findings."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from engine import load
from engine.air.one.balance import solve
from engine.air.one.network import ports_for
from engine.checks.assess import assess
from engine.design import Gate, GateSet
from engine.search.together.companions import Helper, shortcomings, together
from engine.search.together.every_set import Grade, every_set
from tests.shops.set_shops import ANY_SPEED, DEMOS, look_of, seeded, star
from tests.shops.small_shops import machine, run, shop

COMPANIONS = (55, 65, 79, 81, 378)


def grade_of(look, names: tuple[str, ...], only: str | None = None) -> Grade:
    """Of a set, or of it as far as it concerns one machine, from the findings."""
    found = {finding.severity for finding in shortcomings(look, names, only)}
    return Grade.FAILS if "fault" in found else Grade.PASSES if found else Grade.GOOD


def margin(look, names: tuple[str, ...], only: str) -> float:
    """The least share of a limit in a set, as far as it concerns one machine; 0 where air blows back."""
    balance = solve(look.tree, ports_for(look.tree, names))
    speeds = [state.velocity / look.limits[name].settles.value for name, state in balance.runs.items() if state.carries]
    shares = [state.flow / (0.9 * state.needs) for port, state in balance.ports.items() if port.split("/")[0] == only]
    return 0.0 if balance.blown_back else min(1.0, *speeds, *shares)


@pytest.mark.parametrize("design", [load(DEMOS[-1]), *(seeded(seed) for seed in COMPANIONS)], ids=["mended", *COMPANIONS])
def test_companions_are_those_of_brute_force(design):
    """Everything said of a machine, from one set at a time and its findings."""
    look = look_of(design)
    found = together(look)
    for one in found.companions[:5]:
        others = [name for name in found.sets.machines if name != one.machine]
        holding = [(one.machine, *more) for k in range(len(others) + 1) for more in combinations(others, k)]
        grades = {frozenset(names): grade_of(look, names) for names in holding}
        assert one.alone == grades[frozenset({one.machine})]
        assert one.beside == {name: grades[frozenset({one.machine, name})] for name in others}
        passing = [names for names, grade in grades.items() if grade]
        most = {names: grades[names] for names in passing if len(names) == max(map(len, passing))}
        assert len(one.largest) == min(3, len(most)) and all(frozenset(names) in most for names in one.largest)
        assert [most[frozenset(names)] for names in one.largest] == sorted(most.values(), reverse=True)[:3]
        for grade in (Grade.PASSES, Grade.GOOD):
            helped = [names for names in holding if grade_of(look, names, one.machine) >= grade]
            assert (grade in one.helpers) == bool(helped and one.alone < grade)
            if helper := one.helpers.get(grade):
                fewest = [frozenset(names) for names in helped if len(names) == len(helped[0])]
                assert {one.machine, *helper.machines} in fewest
                assert helper.may_work == any(grades[names] >= grade for names in fewest)
        assert (one.nearest is None) == bool(one.alone or Grade.PASSES in one.helpers)
        if one.nearest:
            best = max(margin(look, names, one.machine) for names in holding)
            assert margin(look, one.nearest.machines, one.machine) == pytest.approx(best, rel=1e-6)


def test_good_sets_are_named_before_those_with_cautions():
    """Equal branches, of which m1 wants a little more than it gets beside one other."""
    half = every_set(look_of(star(3))).port_flow[3].max()
    needs = (0.99 * half, 1.05 * half, 0.99 * half)
    design = replace(star(3), machines=tuple(machine(f"m{i}", needs=need) for i, need in enumerate(needs)), conveying=ANY_SPEED)
    m0 = together(look_of(design)).companions[0]
    assert m0.largest == (("m0", "m2"), ("m0", "m1"))
    assert m0.beside == {"m1": Grade.PASSES, "m2": Grade.GOOD}


def test_largest_sets_are_those_that_no_other_holds():
    found = together(look_of(seeded(235)))
    sets = found.sets
    passing = [set(sets.members(index)) for index in np.flatnonzero(sets.grade)]
    wanted = [chosen for chosen in passing if not any(chosen < other for other in passing)]
    largest = [set(row.machines) for row in found.largest]
    assert len(largest) == len(wanted) and all(chosen in wanted for chosen in largest)
    assert [len(chosen) for chosen in largest] == sorted(map(len, largest), reverse=True)


def two_drops(needs: float):
    return shop(
        run("main", "collector", 160, 3.0),
        run("saw drop", "main", 100, Gate(name="saw gate"), 3.0, as_="branch", ends="saw/hood"),
        run("planer drop", "main", 100, Gate(name="planer gate"), 3.0, ends="planer/hood"),
        machines=[machine("saw", needs=0.1), machine("planer", needs=needs)],
    )


def test_a_gate_more_may_carry_what_one_machine_cannot():
    """A main too wide for the saw alone: the planer's gate helps, whether or not the planer gets its own."""
    for needs, may_work in ((0.1, True), (0.6, False)):
        saw, planer = together(look_of(two_drops(needs))).companions
        assert saw.alone == Grade.FAILS and saw.findings[0].where == "main" and saw.findings[0].code == "slow-run"
        assert saw.helpers[Grade.PASSES] == Helper(("planer",), may_work) and saw.nearest is None
        assert (planer.nearest is None) == may_work
    assert planer.nearest.machines == ("planer",) or planer.nearest.machines == ("saw", "planer")
    assert any(finding.severity == "fault" for finding in planer.nearest.findings)


def test_rows_say_what_is_slowest_and_neediest():
    design = load(DEMOS[-1])
    look = look_of(design)
    found = together(look)
    rows = list(found.rows())
    asked = replace(design, gate_sets=tuple(GateSet(name=str(i), open=row.machines) for i, row in enumerate(rows)))
    assessment = assess(asked)
    for row, result in zip(rows, assessment.sets, strict=True):
        assert row.flow == pytest.approx(result.balance.flow, rel=1e-7)
        for mine, theirs in ((row.slowest, assessment.slowest(result)), (row.neediest, assessment.neediest(result))):
            assert mine[0] == theirs[0] and mine[1] == pytest.approx(theirs[1], rel=1e-7)
    assert [row.machines for row in found.rows(Grade.GOOD)] == [row.machines for row in rows if row.grade == Grade.GOOD]
