"""How probable every suspect is by what was read, and which of them no reading tells apart."""

from __future__ import annotations

from collections.abc import Sequence
from math import log

import numpy as np
from numpy.typing import NDArray

from engine.air.many.losses import Array
from engine.air.many.shape import Positions
from engine.catalog.causes import nothing_wrong
from engine.field.causes.lineup import Lineup
from engine.field.causes.suspects import Suspect
from engine.field.causes.weighing import Seen, Spread, log_likelihoods, logs, spread_of, stepped
from engine.field.expected import Task
from engine.values import dataclass

# Causes of one family act alike: what is the less open, and what lets air in.
_FAMILIES = ({"clog", "choked port", "gate shut"}, {"leak", "open joint", "gate open", "bin leak"})

# So far apart, in squares of standard deviations over all readings, what two causes foresee is not told apart (judgement).
_ALIKE = 2.0


@dataclass(frozen=True, slots=True, eq=False)
class Cases:
    """Suspects at severities, finer than those solved: `of` (cases,) says which suspect, -1 nothing wrong, `course` and `severity` how far.

    `prior` (cases,) is the logarithm of the odds of each, `changes` (cases,
    rows) what it foresees beside nothing wrong, in logarithms.
    """

    of: Positions
    course: Positions
    severity: Array
    prior: Array
    changes: Array


def cases_of(suspects: Sequence[Suspect], courses: Sequence[Sequence[range]], rows: Sequence[tuple[Lineup, Task]]) -> Cases:
    """Every suspect at every severity, and nothing wrong, over rows of what may be read."""
    conditions = max((each.stop for own in courses for each in own), default=1)
    table = np.array([logs(lineup, task)[:conditions] for lineup, task in rows]).reshape(len(rows), conditions).T
    changes = table - table[0]
    parts = [(np.array([-1]), np.array([0]), np.array([0.0]), np.array([log(nothing_wrong())]), changes[:1])]
    for at, (suspect, own) in enumerate(zip(suspects, courses, strict=True)):
        for number, (course, nodes) in enumerate(zip(suspect.courses, own, strict=True)):
            severity = stepped(np.array(course.severities))
            share = np.full(len(severity), (0.5 if suspect.whole else 1.0) / len(severity))
            share[-1] += 0.5 if suspect.whole else 0.0
            prior = np.log(suspect.odds / len(own) * share)
            parts.append((np.full(len(severity), at), np.full(len(severity), number), severity, prior, stepped(changes[nodes])))
    return Cases(*(np.concatenate(column) for column in zip(*parts, strict=True)))


@dataclass(frozen=True, slots=True, eq=False)
class Ranking:
    """Suspects weighed against what was read: the `weight` (cases,) of each case and the probability (suspects + 1,) of each, the last nothing wrong.

    `evidence` is the logarithm of how well all of them together explain it.
    """

    suspects: tuple[Suspect, ...]
    cases: Cases
    seen: tuple[Seen, ...]
    spread: Spread
    weight: Array
    probability: Array
    evidence: float

    def best(self, suspect: int) -> int:
        """The most probable case of a suspect, the last of which is nothing wrong."""
        own = np.flatnonzero(self.cases.of == (-1 if suspect == len(self.suspects) else suspect))
        return int(own[np.argmax(self.weight[own])])

    def severities(self, suspect: int, course: int) -> tuple[float, float]:
        """Between which severities a suspect lies nine times in ten, by its course."""
        own = np.flatnonzero((self.cases.of == suspect) & (self.cases.course == course))
        whole = np.cumsum(self.weight[own])
        if whole[-1] <= 0.0:
            return float(self.cases.severity[own[0]]), float(self.cases.severity[own[-1]])
        low, high = (int(np.searchsorted(whole, share * whole[-1])) for share in (0.05, 0.95))
        return float(self.cases.severity[own[low]]), float(self.cases.severity[own[min(high, len(own) - 1)]])


def ranking_of(lineup: Lineup, baseline: Sequence[Seen], seen: Sequence[Seen]) -> Ranking:
    """The suspects of a lineup weighed; with nothing read, each as often as it happens."""
    rows = [(each.lineup, each.task) for each in seen]
    cases = cases_of(lineup.suspects, lineup.courses, rows)
    spread = spread_of(baseline, rows, np.array([each.noise for each in seen]))
    likelihood = log_likelihoods(spread, np.array([each.log for each in seen]), cases.changes) if seen else np.zeros(len(cases.of))
    total = cases.prior + likelihood
    top = float(total.max())
    weight = np.exp(total - top)
    probability = np.bincount(cases.of % (len(lineup.suspects) + 1), weight, len(lineup.suspects) + 1)
    whole = float(weight.sum())
    return Ranking(lineup.suspects, cases, tuple(seen), spread, weight / whole, probability / whole, top + log(whole))


def alike(ranking: Ranking) -> list[list[int]]:
    """Suspects that no reading at hand tells apart, the most probable group first; nothing wrong by itself."""
    order = [int(at) for at in np.argsort(-ranking.probability)]
    nothing = len(ranking.suspects)
    groups: list[list[int]] = []
    waiting = [at for at in order if at != nothing]
    while waiting:
        first, *waiting = waiting
        best = ranking.cases.changes[ranking.best(first)]
        able = {int(at) for at in np.unique(ranking.cases.of[one_to_readings(ranking, ranking.cases.changes, best)])}
        joined = [at for at in waiting if at in able and of_one_family(ranking.suspects[at], ranking.suspects[first])]
        waiting = [at for at in waiting if at not in joined]
        groups.append([first, *joined])
    groups.append([nothing])
    return sorted(groups, key=lambda group: -float(ranking.probability[group].sum()))


def one_to_readings(ranking: Ranking, changes: Array, best: Array) -> NDArray[np.bool_]:
    """Which of `changes` (cases, rows) no reading at hand tells from another (rows,)."""
    off = changes - best
    return (np.linalg.solve(ranking.spread.covariance, off.T).T * off).sum(axis=1) <= _ALIKE if len(best) else np.ones(len(changes), bool)


def of_one_family(one: Suspect, other: Suspect) -> bool:
    """Whether two suspects act alike."""
    return one.cause == other.cause or any({one.cause, other.cause} <= family for family in _FAMILIES)
