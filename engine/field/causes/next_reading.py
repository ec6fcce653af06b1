"""Where to read next: the place of the test sheet after which the least doubt is left, on the average of what may be read there.

Least expected entropy over the causes, one reading at a time (J. de Kleer and
B. Williams, Diagnosing multiple faults, Artificial Intelligence 32, 1987; from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from statistics import NormalDist, median

import numpy as np

from engine.air.many.losses import Array
from engine.air.many.shape import Positions
from engine.design import Design
from engine.field.causes.lineup import Lineup, shown
from engine.field.causes.places import places
from engine.field.causes.ranking import Ranking, cases_of
from engine.field.causes.weighing import OF_A_CHANGE, Seen, least, same_reading, spread_of
from engine.field.expected import Task
from engine.field.spots import AT_COLLECTOR
from engine.field.verdicts import usual_spread
from engine.values import dataclass

# So many cases stand for all, drawn evenly over their weights, and so many values are tried at each place.
_CASES, _VALUES = 600, 48
# Less than this is not worth a way to the ladder: bits that a reading takes off the doubt (judgement).
_WORTH = 0.02
# A reading that wants the ladder, or other gates than the last, is asked for where it tells so much more (judgement).
_LADDER, _GATES = 0.9, 0.95


@dataclass(frozen=True, slots=True)
class NextReading:
    """A reading to take: its task, what it tells of `bits`, and what (cause, value) two leading suspects foresee there."""

    task: Task
    bits: float
    leading: tuple[tuple[int, float], ...]


def next_reading(design: Design, lineup: Lineup, state: str, baseline: Sequence[Seen], ranking: Ranking) -> NextReading | None:
    """The reading that leaves the least doubt, with the filter in a state; None where no place of the test sheet tells anything more."""
    done = [seen.task for seen in ranking.seen]
    tasks = [task for task in places(design, lineup, state, baseline) if not any(same_reading(task, other) for other in done)]
    if not tasks:
        return None
    rows = [(seen.lineup, seen.task) for seen in ranking.seen]
    # As sure as the surest of what was read so far in the way it was, else as a gauge of a workshop is.
    noise = np.array([_noise(ranking.seen, lineup, task) for task in tasks])
    drawn = np.searchsorted(np.cumsum(ranking.weight), (np.arange(_CASES) + 0.5) / _CASES * ranking.weight.sum())
    keep, times = np.unique(np.minimum(drawn, len(ranking.weight) - 1), return_counts=True)
    cases = cases_of(lineup.suspects, lineup.courses, [*rows, *((lineup, task) for task in tasks)])
    foreseen, width = _foreseen(baseline, ranking, lineup, tasks, noise, cases.changes[keep])
    weight = times / times.sum()
    belongs = (cases.of[keep][:, None] == np.unique(cases.of[keep])).astype(float)
    now = _entropy((weight @ belongs)[None, :])[0]
    gains = np.array([now - _left(foreseen[:, at], width[:, at], weight, belongs) for at in range(len(tasks))])
    best = int(np.argmax(gains * np.array([_ease(task, done) for task in tasks])))
    if gains[best] < _WORTH:
        return None
    # By the baseline alone, as each reading is told beside what it should be once it is taken.
    sound = float(spread_of(baseline, [(lineup, tasks[best])], noise[[best]]).middle[0])
    leading = _leading(tasks[best], sound, float(noise[best]), cases.of[keep], cases.changes[keep, len(rows) + best], weight)
    return NextReading(tasks[best], float(gains[best]), leading)


def _ease(task: Task, done: Sequence[Task]) -> float:
    """How much of what a reading tells is left by the work for it."""
    return (1.0 if task.spot == AT_COLLECTOR else _LADDER) * (1.0 if not done or task.gate_set.name == done[-1].gate_set.name else _GATES)


def _noise(seen: Sequence[Seen], lineup: Lineup, task: Task) -> float:
    shares = [each.spread / each.value for each in seen if each.value > 0.0]
    value = float(shown(lineup, task)[0])
    share = median(shares) if shares else usual_spread(task.what)
    return (share * value + least(task) / 2.0) / (value + least(task))


def _foreseen(baseline: Sequence[Seen], ranking: Ranking, lineup: Lineup, tasks: Sequence[Task], noise: Array, changes: Array) -> tuple[Array, Array]:
    """What each case foresees at each place after what was read, and how far that may be off, in logarithms: both (cases, tasks)."""
    count = len(ranking.seen)
    rows = [*((seen.lineup, seen.task) for seen in ranking.seen), *((lineup, task) for task in tasks)]
    spread = spread_of(baseline, rows, np.array([*(seen.noise for seen in ranking.seen), *noise]))
    middle = spread.middle[count:] + changes[:, count:]
    own = (OF_A_CHANGE * changes[:, count:]) ** 2
    variance = np.diagonal(spread.covariance)[count:]
    if count:
        gain = np.linalg.solve(spread.covariance[:count, :count], spread.covariance[:count, count:])
        seen = np.array([each.log for each in ranking.seen])
        middle = middle + (seen - spread.middle[:count] - changes[:, :count]) @ gain
        variance = variance - (spread.covariance[:count, count:] * gain).sum(axis=0)
    return middle, np.sqrt(np.maximum(variance, noise**2) + own)


def _left(foreseen: Array, width: Array, weight: Array, belongs: Array) -> float:
    """Entropy left on the average of values drawn from what the cases foresee, evenly over their weights."""
    order = np.argsort(foreseen)
    shares = (np.arange(_VALUES) + 0.5) / _VALUES
    drawn = order[np.minimum(np.searchsorted(np.cumsum(weight[order]), shares), len(order) - 1)]
    values = foreseen[drawn] + width[drawn] * _SCATTER
    density = weight * np.exp(-0.5 * ((values[:, None] - foreseen) / width) ** 2) / width
    after = density @ belongs
    return float(_entropy(after / after.sum(axis=1, keepdims=True)).mean())


# Normal deviates, in an order that goes with no other.
_SCATTER = np.array([NormalDist().inv_cdf((0.5 + at * 29 % _VALUES) / _VALUES) for at in range(_VALUES)])


def _entropy(shares: Array) -> Array:
    """Bits of rows of shares."""
    logarithms = np.log2(np.maximum(shares, 1e-300))
    entropy: Array = -(shares * logarithms).sum(axis=1)
    return entropy


def _leading(task: Task, sound: float, noise: float, of: Positions, changes: Array, weight: Array) -> tuple[tuple[int, float], ...]:
    """The most probable suspect and the next one that the reading can tell from it, and what they foresee at a place, SI.

    `sound` is the logarithm of what it shows with nothing wrong, `noise` how far a reading may be off.
    """
    suspects = np.unique(of)
    order = suspects[np.argsort([-weight[of == suspect].sum() for suspect in suspects])]
    told = [float(np.average(changes[of == suspect], weights=weight[of == suspect])) for suspect in order]
    other = next((at for at, change in enumerate(told) if abs(change - told[0]) > noise), 1)
    return tuple((int(order[at]), max(float(np.exp(sound + told[at])) - least(task), 0.0)) for at in (0, other) if at < len(order))
