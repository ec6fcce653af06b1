"""How well every suspect explains what was read.

All is told in logarithms, so that what is common to readings cancels as their
ratios do. Readings with nothing wrong, the baseline, and those of now are of
the same doubtful ducts: each doubt of the design (see `engine.air.bands`)
moves all readings together, once for both, so that what the baseline tells of
it corrects what is foreseen now (a Gaussian conditioned on what is known).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, sqrt

import numpy as np

from engine.air.many.losses import Array
from engine.design import READ
from engine.field.causes.lineup import Lineup, shown
from engine.field.expected import Task
from engine.field.spots import same_spot
from engine.field.verdicts import LEAST
from engine.values import dataclass

# One standard deviation from half a span in which every value is as likely.
_OF_A_SPAN = 1.0 / sqrt(3.0)
# What each place has of its own, a tap near a bend, a burr: as a share of what is read there, the same each time (judgement).
_OF_A_PLACE = 0.05
# How far a guess at a filter's drop may be off, in logarithms (judgement).
_OF_A_GUESS = 1.0
# How far the collector and its filter may have moved since the baseline, as a share of what is doubtful about them (judgement).
_DRIFT, _DRIFTING = 0.3, ("filter", "collector")
# How far off is what is foreseen to change, as a share of the change: the law of a clog or a hole is not that of the model (judgement).
OF_A_CHANGE = 0.05
# Steps between two severities that were solved.
_STEPS = 4
_AT_ONCE = 2_000_000  # numbers in work at a time


@dataclass(frozen=True, slots=True)
class Seen:
    """Something that was read, SI, in a lineup, and how far it may be off, one standard deviation; of the `baseline` while nothing was wrong."""

    lineup: Lineup
    task: Task
    value: float
    spread: float
    baseline: bool = False

    @property
    def log(self) -> float:
        """The logarithm of what was read."""
        return float(np.log(max(self.value, 0.0) + least(self.task)))

    @property
    def noise(self) -> float:
        """How far that may be off."""
        return hypot(self.spread, least(self.task) / 2.0) / (max(self.value, 0.0) + least(self.task))


def same_reading(one: Task, other: Task) -> bool:
    """Whether two tasks read the same thing at the same place in the same gate set."""
    return (one.what, one.gate_set.name) == (other.what, other.gate_set.name) and same_spot(one.spot, other.spot)


def least(task: Task) -> float:
    """What no gauge tells from nothing, SI."""
    return LEAST[READ[task.what]]


def logs(lineup: Lineup, task: Task) -> Array:
    """Logarithms of what a task reads in all conditions of a lineup."""
    return np.log(np.maximum(shown(lineup, task), 0.0) + least(task))


@dataclass(frozen=True, slots=True, eq=False)
class Spread:
    """What is foreseen of rows with nothing wrong, in logarithms, beside the baseline, and how far they are off together: (rows,), (rows, rows)."""

    middle: Array
    covariance: Array


def spread_of(baseline: Sequence[Seen], rows: Sequence[tuple[Lineup, Task]], noise: Array) -> Spread:
    """The spread of rows of now after the baseline was read; `noise` (rows,) is what each may be off by itself."""
    every = [*((seen.lineup, seen.task) for seen in baseline), *rows]
    count, now = len(baseline), np.arange(len(every)) >= len(baseline)
    middle = np.array([logs(lineup, task)[0] for lineup, task in every])
    kinds = list(dict.fromkeys(kind for lineup, _ in every for kind in lineup.doubts))
    moves = np.array([_moves(lineup, task, kinds) for lineup, task in every]).reshape(len(every), len(kinds))
    guessed = np.array([[_OF_A_GUESS * (lineup.filter_guessed and task.what == "filter drop")] for lineup, task in every])
    drift = moves * np.array([_DRIFT if kind in _DRIFTING else 0.0 for kind in kinds]) * now[:, None]
    at = np.array(_places([task for _, task in every]))
    same = at[:, None] == at
    own = np.concatenate([[seen.noise for seen in baseline], noise])
    whole = moves @ moves.T + guessed @ guessed.T + drift @ drift.T + _OF_A_PLACE**2 * same + np.diag(own**2)
    if not count:
        return Spread(middle, whole)
    gain = np.linalg.solve(whole[:count, :count], whole[:count, count:]).T
    surprise = np.array([seen.log for seen in baseline]) - middle[:count]
    return Spread(middle[count:] + gain @ surprise, whole[count:, count:] - gain @ whole[:count, count:])


def _places(tasks: Sequence[Task]) -> list[int]:
    """A number for each task, one for all that read the same."""
    numbers: list[int] = []
    known: dict[tuple[str, str, str | None, str | None], list[int]] = {}
    for at, task in enumerate(tasks):
        near = known.setdefault((task.what, task.gate_set.name, task.spot.port, task.spot.run), [])
        numbers.append(next((other for other in near if same_reading(task, tasks[other])), at))
        near += [at] * (numbers[-1] == at)
    return numbers


def _moves(lineup: Lineup, task: Task, kinds: Sequence[str]) -> Array:
    """How far each kind of doubt moves what is read, one standard deviation, in logarithms."""
    ends = np.array([lineup.doubts.get(kind, (0, 0)) for kind in kinds], int).reshape(len(kinds), 2)
    values = logs(lineup, task)[ends]
    moves: Array = np.nan_to_num(_OF_A_SPAN * (values[:, 1] - values[:, 0]) / 2.0)
    return moves


def stepped(nodes: Array) -> Array:
    """Rows (severities, ...) with steps between them."""
    count = len(nodes)
    at = np.linspace(0.0, count - 1.0, (count - 1) * _STEPS + 1)
    low = np.minimum(at.astype(int), max(count - 2, 0))
    part = (at - low).reshape(-1, *[1] * (nodes.ndim - 1))
    steps: Array = (1.0 - part) * nodes[low] + part * nodes[np.minimum(low + 1, count - 1)]
    return steps


def log_likelihoods(spread: Spread, seen: Array, changes: Array) -> Array:
    """Of each case of `changes` (cases, rows) from what is foreseen with nothing wrong, by what was `seen` (rows,), in logarithms: (cases,).

    Minus infinity where a case foresees nothing.
    """
    known = np.isfinite(changes).all(axis=1)
    likelihood = np.full(len(changes), -np.inf)
    for some in np.array_split(np.flatnonzero(known), max(1, len(changes) * len(seen) ** 2 // _AT_ONCE)):
        change = changes[some]
        lower = np.linalg.cholesky(spread.covariance + ((OF_A_CHANGE * change) ** 2)[:, :, None] * np.eye(len(seen)))
        scaled = np.linalg.solve(lower, (seen - spread.middle - change)[:, :, None])[:, :, 0]
        likelihood[some] = -0.5 * (scaled**2).sum(axis=1) - np.log(np.diagonal(lower, axis1=1, axis2=2)).sum(axis=1)
    return likelihood


def misfit(spread: Spread, seen: Array, change: Array) -> tuple[float, Array]:
    """How far what was `seen` is from what a case foresees: as a normal deviate over all rows, and (rows,) each beside what the others tell.

    The sum of squares goes as chi-squared, by Wilson and Hilferty's cube root nearly normal.
    """
    inverse = np.linalg.inv(spread.covariance + np.diag((OF_A_CHANGE * change) ** 2))
    off = seen - spread.middle - change
    part = 2.0 / (9.0 * len(seen))
    deviate = ((off @ inverse @ off / len(seen)) ** (1.0 / 3.0) - (1.0 - part)) / sqrt(part)
    return float(deviate), (inverse @ off) / np.sqrt(np.diagonal(inverse))
