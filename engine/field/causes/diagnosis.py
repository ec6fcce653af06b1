"""What is wrong: the readings of a design weighed, single causes first, then two together, and where to read next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from math import exp
from typing import NamedTuple

import numpy as np

from engine.air.many.losses import Array
from engine.design import Design, Reading
from engine.field.causes.evidence import Evidence, evidence_of
from engine.field.causes.next_reading import NextReading, next_reading
from engine.field.causes.pairs import Pair, pairs_of
from engine.field.causes.ranking import Ranking, alike, of_one_family, one_to_readings, ranking_of
from engine.field.causes.suspects import NOTHING
from engine.field.causes.weighing import least, misfit
from engine.values import dataclass

# Causes less probable than this are not told.
_TOLD = 0.01
# Readings that would come about less often than once in two hundred times are not explained; a single one that is so far off beside
# what the others tell is at odds (normal deviates; judgement).
_UNLIKELY, _AT_ODDS = 2.6, 2.6


class Candidate(NamedTuple):
    """A cause at its run, gate or port, "" for the collector, and how probable it is."""

    cause: str
    place: str
    probability: float


@dataclass(frozen=True, slots=True)
class Cause:
    """Candidates that no reading at hand tells apart, the most probable first, and how probable they are together.

    `severity` is between which severities the first lies, nine times in ten;
    `beside` the second cause where two act together.
    """

    candidates: tuple[Candidate, ...]
    severity: tuple[float, float] | None
    probability: float
    beside: Cause | None = None

    @property
    def cause(self) -> str:
        """What it is."""
        return self.candidates[0].cause

    @property
    def where(self) -> tuple[str, ...]:
        """All places where it may be, none for the collector."""
        return tuple(dict.fromkeys(one.place for one in self.candidates if one.place))


# A cause, and what it changes of the readings at its best, in logarithms.
_Told = tuple[Cause, Array]


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What is wrong, most probable first, by which `evidence`, and where to read next.

    `sound` is what each reading should be with nothing wrong, by the baseline
    where there is one, `so` with the first of the causes, SI. `fits` tells
    whether a single cause explains the readings, `together` whether two do;
    where neither does, `odd` are the readings at odds with the best.
    """

    evidence: Evidence
    causes: tuple[Cause, ...]
    sound: tuple[float, ...]
    so: tuple[float, ...]
    following: NextReading | None
    fits: bool
    together: bool
    odd: tuple[Reading, ...]


def diagnoses(design: Design, since: date | None = None) -> Iterator[Diagnosis]:
    """What is wrong with a consistent design that has runs, by its readings since a day: at first single causes, then with every two together."""
    evidence = evidence_of(design, since)
    ranking = ranking_of(evidence.lineup, evidence.before, evidence.seen)
    following = next_reading(design, evidence.lineup, evidence.state, evidence.before, ranking)
    singles = _singles(ranking)
    fits, odd = _fit(ranking, evidence, ranking.cases.changes[int(np.argmax(ranking.weight))])

    def found(told: Sequence[_Told], together: bool = False) -> Diagnosis:
        sound, so = (_values(evidence, ranking.spread.middle + change) for change in (0.0, told[0][1]))
        return Diagnosis(evidence, tuple(cause for cause, _ in told), sound, so, following, fits, together, () if together else odd)

    yield found(_probable(singles))
    if len(evidence.seen) < 2:
        return
    pairs: list[Pair] = []
    for pair in pairs_of(ranking):
        pairs.append(pair)
        best = max(pairs, key=lambda each: each.evidence)
        yield found(_with_pairs(ranking, singles, pairs), not fits and _fit(ranking, evidence, best.change)[0])


def _values(evidence: Evidence, logarithms: Array) -> tuple[float, ...]:
    return tuple(max(exp(value) - least(seen.task), 0.0) for value, seen in zip(logarithms.tolist(), evidence.seen, strict=True))


def _fit(ranking: Ranking, evidence: Evidence, change: Array) -> tuple[bool, tuple[Reading, ...]]:
    """Whether what a case foresees explains what was read; if not, the readings at odds with it, the worst first."""
    if not evidence.seen:
        return True, ()
    deviate, off = misfit(ranking.spread, np.array([seen.log for seen in evidence.seen]), change)
    if deviate <= _UNLIKELY:
        return True, ()
    order = np.argsort(-np.abs(off))
    odd = [int(at) for at in order if abs(off[at]) > _AT_ODDS] or [int(order[0])]
    return False, tuple(evidence.readings[at] for at in odd)


def _probable(told: Sequence[_Told]) -> list[_Told]:
    """Those to be told, most probable first."""
    order = sorted(told, key=lambda row: -row[0].probability)
    return [row for at, row in enumerate(order) if row[0].probability >= _TOLD or not at]


def _with_pairs(ranking: Ranking, singles: Sequence[_Told], pairs: Sequence[Pair]) -> list[_Told]:
    odds = [exp(min(pair.evidence - ranking.evidence, 500.0)) for pair in pairs]
    whole = 1.0 + sum(odds)
    shares = [(pair, share / whole) for pair, share in zip(pairs, odds, strict=True)]
    return _probable([*((_times(cause, 1.0 / whole), change) for cause, change in singles), *_doubles(ranking, shares)])


def _times(cause: Cause, factor: float) -> Cause:
    candidates = tuple(one._replace(probability=factor * one.probability) for one in cause.candidates)
    return replace(cause, candidates=candidates, probability=factor * cause.probability)


def _singles(ranking: Ranking) -> list[_Told]:
    return [(_single(ranking, group), ranking.cases.changes[ranking.best(group[0])]) for group in alike(ranking)]


def _single(ranking: Ranking, group: Sequence[int]) -> Cause:
    first = group[0]
    candidates = tuple(_candidate(ranking, at, float(ranking.probability[at])) for at in group)
    course = int(ranking.cases.course[ranking.best(first)])
    severity = None if candidates[0].cause == NOTHING else ranking.severities(first, course)
    return Cause(candidates, severity, sum(one.probability for one in candidates))


def _doubles(ranking: Ranking, shares: Sequence[tuple[Pair, float]]) -> Iterator[_Told]:
    """Pairs with their probabilities as causes, those that no reading at hand tells apart as one."""
    waiting = sorted(shares, key=lambda row: -row[1])
    while waiting:
        (first, _), *_ = waiting
        near = one_to_readings(ranking, np.array([pair.change for pair, _ in waiting]), first.change)
        joined = [
            (sides, share) for (pair, share), able in zip(waiting, near.tolist(), strict=True)
            if able and (sides := _side_by_side(ranking, pair.suspects, first.suspects))
        ]  # fmt: skip
        told = {frozenset(sides) for sides, _ in joined}
        waiting = [(pair, share) for pair, share in waiting if frozenset(pair.suspects) not in told]
        one, other = (_side(ranking, [(sides[at], share) for sides, share in joined], first.severities[at]) for at in (0, 1))
        yield replace(one, beside=other), first.change


def _side_by_side(ranking: Ranking, pair: tuple[int, int], first: tuple[int, int]) -> tuple[int, int] | None:
    """A pair in the order in which each acts as that of another pair; None where they do not."""
    for sides in (pair, pair[::-1]):
        if all(of_one_family(ranking.suspects[at], ranking.suspects[there]) for at, there in zip(sides, first, strict=True)):
            return sides
    return None


def _side(ranking: Ranking, shares: Sequence[tuple[int, float]], severity: float) -> Cause:
    """One side of pairs that are told as one."""
    whole: dict[int, float] = {}
    for suspect, share in shares:
        whole[suspect] = whole.get(suspect, 0.0) + share
    return Cause(tuple(_candidate(ranking, *row) for row in whole.items()), (severity, severity), sum(whole.values()))


def _candidate(ranking: Ranking, suspect: int, share: float) -> Candidate:
    if suspect == len(ranking.suspects):
        return Candidate(NOTHING, "", share)
    return Candidate(ranking.suspects[suspect].cause, ranking.suspects[suspect].where, share)
