"""Which gates may be open together: read off every set of machines, as plain data for reports and screens."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from engine.air.gate_sets import solve_set
from engine.air.many.losses import Array
from engine.checks import SEVERITIES, Finding
from engine.checks.look import Look
from engine.checks.rules import limit
from engine.checks.subjects.air import SET_CHECKS
from engine.design import GateSet
from engine.search.together.every_set import EverySet, Grade, every_set
from engine.values import dataclass

_MOST_EXAMPLES = 3


@dataclass(frozen=True, slots=True)
class Row:
    """One set of machines at work: flow in m3/s, None without a balance.

    `slowest` is (run, m/s) of the run slowest for its load; `neediest` (port,
    share of its need) of the machine at work that gets least.
    """

    machines: tuple[str, ...]
    grade: Grade
    flow: float | None
    slowest: tuple[str, float] | None
    neediest: tuple[str, float] | None


@dataclass(frozen=True, slots=True)
class Helper:
    """The fewest further gates to open. `may_work`: their machines may be at work as well, else only their gates are open."""

    machines: tuple[str, ...]
    may_work: bool


@dataclass(frozen=True, slots=True)
class Nearest:
    """The set that comes nearest to serving a machine that none serves, and what is wrong there."""

    machines: tuple[str, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Companions:
    """What one machine may work with.

    `alone` with its `findings`, worst first; `beside` the grade with each one
    other machine, where that was solved; `largest` examples of the largest
    sets with it that pass. `helpers` by the grade it would reach, where it
    does not alone; `nearest` where it passes neither alone nor helped.
    """

    machine: str
    alone: Grade
    findings: tuple[Finding, ...]
    beside: Mapping[str, Grade]
    largest: tuple[tuple[str, ...], ...]
    helpers: Mapping[Grade, Helper]
    nearest: Nearest | None


@dataclass(frozen=True, slots=True)
class Together:
    """Every set of machines with what follows from it.

    `largest` are sets that pass and that no larger set that passes holds,
    most machines first. Beware: fewer machines than in such a set may be too
    little air for a main. `left_out` are machines that no run leads to.
    """

    look: Look
    sets: EverySet
    companions: tuple[Companions, ...]
    largest: tuple[Row, ...]
    left_out: tuple[str, ...]

    def count(self, grade: Grade) -> int:
        """How many sets have a grade."""
        return int((self.sets.grade == grade).sum())

    def rows(self, at_least: Grade = Grade.FAILS) -> Iterator[Row]:
        """The sets of a grade or better, fewest machines first."""
        return (row_of(self.look, self.sets, int(i)) for i in np.flatnonzero(self.sets.grade >= at_least))

    @property
    def serves_all(self) -> bool:
        """Whether every machine passes in some set, or with some gates open besides."""
        return not any(one.nearest for one in self.companions)


def together(look: Look, largest: int | None = None) -> Together:
    """Solve every set of at most `largest` machines (see `every_set`) and read off which may work together."""
    sets = every_set(look, largest)
    companions = tuple(_companions(look, sets, i) for i in range(len(sets.machines)))
    maximal = tuple(row_of(look, sets, i) for i in _maximal_sets(sets))
    left_out = tuple(machine.id for machine in look.design.machines if machine.id not in sets.machines)
    return Together(look, sets, companions, maximal, left_out)


def row_of(look: Look, sets: EverySet, index: int) -> Row:
    """One set by its place in the arrays of `sets`."""
    if not sets.answered[index]:
        return Row(sets.members(index), Grade.FAILS, None, None, None)
    speeds = {run: float(v) for run, v, on in zip(sets.runs, sets.velocity[index], sets.carries[index], strict=True) if on}
    slowest = min(speeds.items(), key=lambda item: item[1] / look.limits[item[0]].slow.value, default=None)
    at_work, shares = set(sets.members(index)), {}
    for port, flow in zip(sets.ports, sets.port_flow[index], strict=True):
        needs = look.tree.ports[port].needs.si
        if needs > 0 and port.split("/")[0] in at_work:
            shares[port] = float(flow) / needs
    neediest = min(shares.items(), key=lambda item: item[1], default=None)
    return Row(sets.members(index), Grade(sets.grade[index]), float(sets.flow[index]), slowest, neediest)


def shortcomings(look: Look, machines: tuple[str, ...], only: str | None = None) -> tuple[Finding, ...]:
    """The findings about the air of a set of machines at work, by id, worst first; with `only`, no other machine's starving."""
    result = solve_set(look.tree, GateSet(name=" + ".join(machines), open=machines))
    found = [finding for check in SET_CHECKS for finding in check(look, result)]
    own = {look.ports_at[port] for port in look.ports_of_machine.get(only or "", ())}
    kept = [f for f in found if only is None or f.code != "starved-machine" or f.place in own]
    return tuple(sorted(kept, key=lambda finding: SEVERITIES.index(finding.severity)))


def _companions(look: Look, sets: EverySet, i: int) -> Companions:
    machine, alone = sets.machines[i], Grade(sets.grade[i])
    holding = sets.at_work[:, i]
    size = sets.at_work.sum(axis=1)
    passing = np.flatnonzero(holding & (sets.grade >= Grade.PASSES))
    most = passing[size[passing] == size[passing].max(initial=0)]
    best = sorted(most, key=lambda index: -sets.grade[index])[:_MOST_EXAMPLES]
    beside = {}
    for pair in map(int, np.flatnonzero(holding & (size == 2))):
        [other] = (name for name in sets.members(pair) if name != machine)
        beside[other] = Grade(sets.grade[pair])
    helpers = _helpers(sets, i)
    nearest = None if alone or Grade.PASSES in helpers else _nearest(look, sets, i)
    findings = () if alone == Grade.GOOD else shortcomings(look, (machine,))
    return Companions(
        machine=machine, alone=alone, findings=findings, beside=beside,
        largest=tuple(sets.members(index) for index in best), helpers=helpers, nearest=nearest,
    )  # fmt: skip


def _helpers(sets: EverySet, i: int) -> dict[Grade, Helper]:
    """By grade that the machine does not reach alone: the fewest gates more, of those that may work the best."""
    reached = np.where(sets.at_work[:, i], np.minimum(sets.air, sets.served[:, i]), Grade.FAILS)
    found = {}
    for grade in (Grade.PASSES, Grade.GOOD):
        # Fewest machines come first; the machine alone stands at its own index.
        rows = np.flatnonzero(reached >= grade)
        if sets.grade[i] >= grade or not len(rows):
            continue
        size = sets.at_work[rows].sum(axis=1)
        best = max(rows[size == size[0]], key=lambda index: sets.grade[index])
        others = tuple(name for name in sets.members(best) if name != sets.machines[i])
        found[grade] = Helper(others, bool(sets.grade[best] >= grade))
    return found


def _nearest(look: Look, sets: EverySet, i: int) -> Nearest:
    rows = np.flatnonzero(sets.at_work[:, i])
    members = sets.members(int(rows[np.argmax(_margins(look, sets, i)[rows])]))
    return Nearest(members, shortcomings(look, members, only=sets.machines[i]))


def _margins(look: Look, sets: EverySet, i: int) -> Array:
    """How near each set comes to serving a machine without a fault: its least share of a limit (sets,), 1 where it does."""
    settles = [min(look.limits[run].slow.least, look.limits[run].settles.least) for run in sets.runs]
    margin = np.where(sets.carries, sets.velocity / settles, np.inf).min(axis=1, initial=1.0)
    for column, port in enumerate(sets.ports):
        needs = limit(look.design, "starved-machine", "tolerance") * look.tree.ports[port].needs.si
        if needs > 0 and port.split("/")[0] == sets.machines[i]:
            margin = np.minimum(margin, sets.port_flow[:, column] / needs)
    return np.where(sets.answered & ~sets.blown_back.any(axis=1), margin, 0.0)


def _maximal_sets(sets: EverySet) -> list[int]:
    """Sets that pass and are part of no larger one that does, most machines first, good ones before others."""
    passing = np.flatnonzero(sets.grade >= Grade.PASSES)
    size = sets.at_work.sum(axis=1)
    order = sorted(passing, key=lambda index: (-size[index], -sets.grade[index]))
    kept, count = np.zeros((len(order), len(sets.machines)), bool), 0
    found = []
    for index in order:
        at_work = sets.at_work[index]
        if not kept[:count, at_work].all(axis=1).any():
            kept[count], count = at_work, count + 1
            found.append(int(index))
    return found
