"""Two causes at once: of the ten that alone are most probable, every two solved together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from math import log

import numpy as np

from engine.air.many.losses import Array
from engine.catalog.causes import nothing_wrong
from engine.field.causes.faults import Condition
from engine.field.causes.lineup import Lineup, shown_by
from engine.field.causes.ranking import Ranking
from engine.field.causes.suspects import Course
from engine.field.causes.weighing import least, log_likelihoods, logs, stepped
from engine.values import dataclass

_BEST = 10
_APART = 2  # severities of a course are solved this many apart


@dataclass(frozen=True, slots=True, eq=False)
class Pair:
    """Two suspects, by position, with severities that together explain best what was read.

    `evidence` is the logarithm of how well they do, severities weighed; `change` (rows,) what they foresee at their best.
    """

    suspects: tuple[int, int]
    severities: tuple[float, float]
    evidence: float
    change: Array


def pairs_of(ranking: Ranking) -> Iterator[Pair]:
    """Every two of the most probable suspects, one after the other."""
    suspects = ranking.suspects
    best = [int(at) for at in np.argsort(-ranking.probability) if at < len(suspects)][:_BEST]
    for one, other in combinations(best, 2):
        if not _exclude(suspects[one].where, suspects[one].cause, suspects[other].where, suspects[other].cause):
            yield _pair(ranking, one, other)


def _exclude(where: str, cause: str, there: str, other: str) -> bool:
    """Whether two causes are one and the same thing done twice."""
    return bool(where and where == there) or (cause.startswith("filter") and other.startswith("filter"))


def _pair(ranking: Ranking, one: int, other: int) -> Pair:
    courses = [_course(ranking, at) for at in (one, other)]
    holes = any(ranking.suspects[at].holes for at in (one, other))
    nodes = [(*course.severities[::_APART], course.severities[-1])[: len(course.severities)] for course in courses]
    nodes = [tuple(dict.fromkeys(each)) for each in nodes]
    changes = np.empty((len(nodes[0]), len(nodes[1]), len(ranking.seen)))
    for lineup in dict.fromkeys(seen.lineup for seen in ranking.seen):
        rows = [at for at, seen in enumerate(ranking.seen) if seen.lineup is lineup]
        changes[..., rows] = _changes(ranking, lineup, rows, _both(lineup.begin(holes), courses, nodes)).reshape(*changes.shape[:2], len(rows))
    fine = np.swapaxes(stepped(np.swapaxes(stepped(changes), 0, 1)), 0, 1)
    severities = [stepped(np.array(each)) for each in nodes]
    likelihood = log_likelihoods(ranking.spread, np.array([seen.log for seen in ranking.seen]), fine.reshape(-1, fine.shape[-1]))
    odds = sum(log(ranking.suspects[at].odds / nothing_wrong()) for at in (one, other)) + log(nothing_wrong())
    top = int(np.argmax(likelihood))
    evidence = odds + float(likelihood[top]) + float(np.log(np.exp(likelihood - likelihood[top]).mean()))
    at, there = divmod(top, len(severities[1]))
    return Pair((one, other), (float(severities[0][at]), float(severities[1][there])), evidence, fine[at, there])


def _course(ranking: Ranking, suspect: int) -> Course:
    return ranking.suspects[suspect].courses[int(ranking.cases.course[ranking.best(suspect)])]


def _both(begin: Condition, courses: Sequence[Course], nodes: Sequence[Sequence[float]]) -> list[Condition]:
    first = [courses[0].change(begin, severity) for severity in nodes[0]]
    return [courses[1].change(condition, severity) for condition in first for severity in nodes[1]]


def _changes(ranking: Ranking, lineup: Lineup, rows: Sequence[int], conditions: Sequence[Condition]) -> Array:
    tasks = [ranking.seen[at].task for at in rows]
    floor = np.array([least(task) for task in tasks])
    sound = np.array([logs(lineup, task)[0] for task in tasks])
    changes: Array = np.log(np.maximum(shown_by(conditions, tasks), 0.0) + floor) - sound
    return changes
