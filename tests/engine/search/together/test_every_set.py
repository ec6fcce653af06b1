"""Every set of machines: the same flows and verdicts as one set at a time."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations
from random import Random

import numpy as np
import pytest

from engine import load
from engine.air.many.newton import Settled
from engine.air.one.balance import solve
from engine.air.one.network import ports_for
from engine.air.one.newton import NotConverged
from engine.checks.assess import assess
from engine.design import Conveying, Elbow, Gate, GateSet, Leakage, Machine, Straight
from engine.search.together.companions import together
from engine.search.together.every_set import MOST_SETS, EverySet, Grade, _without_blown, every_set
from tests.shops.set_shops import ANY_SPEED, DEMOS, look_of, seeded, star
from tests.shops.small_shops import collector, machine, q, run, shop, si

# Seeds: some with sets of every grade, some with sets whose air blows back.
MIXED = (20, 55, 65, 79, 81, 85, 227, 235)
BLOWN = (58, 72, 110, 116)


def some(sets: EverySet, most: int, seed: int = 0) -> list[int]:
    return Random(seed).sample(range(len(sets.at_work)), min(most, len(sets.at_work)))


# Flows


def agrees(look, sets: EverySet, rows) -> None:
    """Flows, speeds and blow-back of these sets are those of `solve`."""
    for index in rows:
        balance = solve(look.tree, ports_for(look.tree, sets.members(index)))
        back = [port for port, blown in zip(sets.ports, sets.blown_back[index], strict=True) if blown]
        assert back == sorted(balance.blown_back, key=sets.ports.index)
        # What is nearly blown back hangs on the last digits of the pressures.
        rel = 1e-5 if balance.blown_back else 1e-7
        assert sets.answered[index] and sets.flow[index] == pytest.approx(balance.flow, rel=rel)
        for column, port in enumerate(sets.ports):
            if port in balance.ports:
                assert sets.port_flow[index, column] == pytest.approx(balance.ports[port].flow, rel=rel)
        for column, name in enumerate(sets.runs):
            assert sets.velocity[index, column] == pytest.approx(balance.runs[name].velocity, rel=rel)
            assert sets.carries[index, column] == balance.runs[name].carries


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_demos_are_solved_as_one_by_one(path):
    look = look_of(load(path))
    sets = every_set(look)
    assert sets.complete
    agrees(look, sets, some(sets, 60))


@pytest.mark.parametrize("first", [0, 40])
def test_random_designs_are_solved_as_one_by_one(first):
    for seed in range(first, first + 40):
        look = look_of(seeded(seed))
        sets = every_set(look, largest=5)
        agrees(look, sets, some(sets, 12, seed))


def undemanding(design):
    """The design with machines that need nothing and any speed good enough."""
    machines = tuple(replace(one, ports=tuple(replace(port, needs=si(0.0)) for port in one.ports)) for one in design.machines)
    return replace(design, machines=machines, conveying=ANY_SPEED)


@pytest.mark.parametrize("seed", BLOWN)
def test_air_that_blows_back(seed):
    look = look_of(undemanding(seeded(seed)))
    sets = every_set(look)
    blown = np.flatnonzero(sets.blown_back.any(axis=1))
    assert len(blown) and (sets.grade[blown] == Grade.FAILS).all()
    agrees(look, sets, Random(seed).sample(list(blown), min(12, len(blown))))


def test_a_set_that_blows_back_is_taken_from_the_one_set_whose_shut_ports_stay_shut():
    """Sets {a}, {b}, {a, b}, the last without balance; suctions at shut ports as given, Pa."""
    opened = np.array([[True, False, True], [False, True, True]])

    def held(at_b: float, at_a: float, row: int = 2) -> int | None:
        suction = np.array([[0.0, at_a, 0.0], [at_b, 0.0, 0.0]])
        return _without_blown(Settled(np.zeros((2, 3)), suction, np.array([True, True, False])), [0, 1], opened, row)

    assert held(-50.0, 300.0) == 0 and held(300.0, -50.0) == 1
    assert held(300.0, 300.0) is None  # either would draw beside the other
    assert held(-50.0, -50.0) is None  # two answers: left to the solver


def test_a_set_without_answer_fails_and_says_nothing_else(monkeypatch):
    def unanswered(*_):
        raise NotConverged("on purpose")

    monkeypatch.setattr("engine.search.together.every_set.solve", unanswered)
    # Gates that leak keep one set's answer from being taken from another's.
    look = look_of(replace(seeded(72), leakage=Leakage(shut_gate=si(1e-4))))
    found = together(look, largest=3)
    [silent] = [np.flatnonzero(~found.sets.answered)]
    assert len(silent) and (found.sets.grade[silent] == Grade.FAILS).all() and not found.sets.blown_back[silent].any()
    rows = list(found.rows())
    assert all((row.flow, row.slowest, row.neediest) == (None, None, None) for row in (rows[i] for i in silent))
    assert all(row.flow is not None for i, row in enumerate(rows) if i not in silent)


LEAKAGE = (Leakage(tightness="A"), Leakage(shut_gate=si(3e-4)), Leakage(tightness="B", shut_gate=si(1e-4)))


@pytest.mark.parametrize("leakage", LEAKAGE, ids=["walls", "gates", "both"])
def test_leaks_draw_in_every_set(leakage):
    for design in (load(DEMOS[0]), seeded(208), seeded(227)):
        look = look_of(replace(design, leakage=leakage))
        sets = every_set(look, largest=3)
        agrees(look, sets, some(sets, 15))


def test_a_duct_to_the_outside():
    design = load(DEMOS[-1])
    pieces = (Straight(length=q("3 m")), Elbow(angle=q("90 deg", "angle")))
    outside = replace(design.collector, outlet=q("160 mm", "bore"), discharge="outside", outlet_pieces=pieces)
    look = look_of(replace(design, collector=outside))
    sets = every_set(look)
    agrees(look, sets, some(sets, 15))


@dataclass(frozen=True)
class StraightLine:
    """Any collector that tells its pressure will do: p = top (1 - q / high)."""

    top: float = 2000.0
    high: float = 0.9
    low: float = 0.0
    shut_off: float = 2000.0
    estimated: bool = False
    falls: bool = True

    def pressure(self, flow: float) -> tuple[float, float]:
        return self.top * (1 - flow / self.high), -self.top / self.high


def test_any_collector_serves():
    look = look_of(seeded(81))
    look = replace(look, tree=replace(look.tree, fan=StraightLine()))
    sets = every_set(look)
    agrees(look, sets, some(sets, 15))


class Ended(StraightLine):
    """Told from `low` to `high` alone; between and beyond them p = top (1 - q / 0.9)."""

    def pressure(self, flow: float) -> tuple[float, float]:
        return self.top * (1 - flow / 0.9), -self.top / 0.9


@pytest.mark.parametrize(("ends", "grade"), [((0.999, 1.001), Grade.GOOD), ((0.5, 0.999), Grade.PASSES), ((1.001, 2.0), Grade.PASSES)])
def test_a_set_that_works_outside_the_curve_is_not_good(ends, grade):
    look = look_of(undemanding(star(1)))
    flow = every_set(replace(look, tree=replace(look.tree, fan=Ended()))).flow[0]
    low, high = (share * flow for share in ends)
    sets = every_set(replace(look, tree=replace(look.tree, fan=Ended(low=low, high=high))))
    assert sets.flow[0] == pytest.approx(flow, rel=1e-9) and sets.grade[0] == grade


def test_equal_branches_share_equally():
    """Closed form: k equal branches draw 1/k each, whichever they are."""
    sets = every_set(look_of(star(5)))
    size = sets.at_work.sum(axis=1)
    assert sets.port_flow == pytest.approx(sets.at_work * (sets.flow / size)[:, None], rel=1e-9)
    assert [len(set(np.round(sets.flow[size == k], 9))) for k in range(1, 6)] == [1] * 5


# Which sets


def test_every_combination_fewest_machines_first():
    sets = every_set(look_of(star(4)))
    wanted = [names for k in range(1, 5) for names in combinations(["m0", "m1", "m2", "m3"], k)]
    assert [sets.members(i) for i in range(len(sets.at_work))] == wanted
    assert sets.complete and sets.largest == 4


@pytest.mark.parametrize(("count", "asked", "largest", "expected"), [(15, None, 7, 16383), (4, 2, 2, 10), (4, 9, 4, 15), (4, 0, 1, 4)])
def test_too_many_combinations_are_cut_where_said(count, asked, largest, expected):
    sets = every_set(look_of(star(count)), asked)
    assert (sets.largest, len(sets.at_work)) == (largest, expected)
    assert sets.complete == (largest == count) and len(sets.at_work) <= MOST_SETS


def test_gates_open_ways_and_a_way_without_gate_is_always_open():
    shared = shop(
        run("main", "collector", 160, 3.0),
        run("bench", "main", 125, Gate(name="bench gate"), 1.0, as_="branch"),
        run("r0", "bench", 100, 2.0, as_="branch", ends="lathe/hood"),
        run("r1", "bench", 100, Gate(name="saw gate"), 2.0, ends="saw/hood"),
        run("r2", "main", 100, 2.0, ends="sweep/hood"),
        machines=[machine("saw"), machine("lathe"), machine("sweep"), machine("idle")],
    )
    look = look_of(shared)
    sets = every_set(look)
    assert sets.machines == ("saw", "lathe", "sweep")
    drawing = {sets.members(i): {sets.ports[k].split("/")[0] for k in np.flatnonzero(sets.port_flow[i])} for i in range(7)}
    assert drawing["sweep",] == {"sweep"}
    assert drawing["lathe",] == {"lathe", "sweep"}
    assert drawing["saw",] == {"saw", "lathe", "sweep"}
    agrees(look, sets, range(7))
    assert together(look).left_out == ("idle",)


@pytest.mark.parametrize("design", [shop(), shop(machines=[machine("saw")]), shop(run("main", "collector", 160, 3.0))])
def test_a_design_without_machines_on_its_ducts_has_no_sets(design):
    found = together(look_of(design))
    assert len(found.sets.grade) == 0 and found.companions == found.largest == ()


# Grades


def graded_by_findings(design, sets: EverySet, rows) -> list[Grade]:
    """Grades of sets as the findings of the same gate sets have them."""
    asked = tuple(GateSet(name=str(index), open=sets.members(index)) for index in rows)
    severities = {gate_set.name: set() for gate_set in asked}
    for finding in assess(replace(design, gate_sets=asked)).findings:
        if finding.gate_set:
            severities[finding.gate_set].add(finding.severity)
    return [Grade.FAILS if "fault" in found else Grade.PASSES if found else Grade.GOOD for found in severities.values()]


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_demos_are_graded_as_their_findings_say(path):
    design = load(path)
    sets = every_set(look_of(design))
    rows = sorted({*some(sets, 40), *map(int, np.flatnonzero(sets.grade))})
    assert [sets.grade[index] for index in rows] == graded_by_findings(design, sets, rows)


@pytest.mark.parametrize("seed", [*MIXED, *BLOWN, 53, 117])
def test_random_designs_are_graded_as_their_findings_say(seed):
    """Fans past their curve, on a rising limb or too weak, air that blows back, starved and slow ones."""
    design = seeded(seed)
    sets = every_set(look_of(design))
    rows = sorted({*some(sets, 30), *map(int, np.flatnonzero(sets.grade)[:30])})
    assert [sets.grade[index] for index in rows] == graded_by_findings(design, sets, rows)


CURVES = {
    "good": (((0.0, 2400.0), (0.5, 1200.0), (0.9, 0.0)), Grade.GOOD),
    "past-curve": (((0.0, 2400.0), (0.1, 2300.0)), Grade.PASSES),
    "before-curve": (((0.8, 2400.0), (0.9, 2300.0)), Grade.PASSES),
    "rising-curve": (((0.0, 1000.0), (2.0, 3000.0)), Grade.PASSES),
    "too-weak": (((0.0, 1e-6), (0.9, 0.0)), Grade.FAILS),
}


@pytest.mark.parametrize(("curve", "grade"), CURVES.values(), ids=CURVES)
def test_where_the_collector_works_is_graded_by_itself(curve, grade):
    design = replace(star(2, needs=0.0), collector=collector(curve), conveying=ANY_SPEED)
    sets = every_set(look_of(design))
    assert list(sets.grade) == [grade] * 3 == graded_by_findings(design, sets, range(3))


@pytest.mark.parametrize(("speeds", "grade"), [((1, 1, 99), 2), ((1, 99, 99), 2), ((99, 1, 199), 1), ((99, 98, 199), 0), ((1, 1, 2), 1)])
def test_speeds_are_graded_by_slow_settles_and_fast(speeds, grade):
    """A speed that is not slow is never a fault, whatever `settles` says."""
    slow, settles, fast = map(si, speeds)
    design = replace(star(2, needs=0.0), conveying=Conveying(slow_branch=slow, slow_main=slow, settles=settles, fast=fast))
    sets = every_set(look_of(design))
    assert list(sets.grade) == [grade] * 3 == graded_by_findings(design, sets, range(3))


@pytest.mark.parametrize("needs", [(0.01, 3.0), (3.0, 0.01)])
def test_a_machine_of_two_ports_wants_both_served(needs):
    [port] = machine("saw").ports
    both = Machine(id="saw", ports=tuple(replace(port, id=name, needs=si(need)) for name, need in zip(("top", "below"), needs, strict=True)))
    design = shop(
        run("main", "collector", 125, 3.0),
        run("r0", "main", 100, 2.0, as_="branch", ends="saw/top"),
        run("r1", "main", 100, 2.0, ends="saw/below"),
        machines=[both],
    )
    sets = every_set(look_of(design))
    assert sets.machines == ("saw",) and sets.served[0, 0] == Grade.FAILS
