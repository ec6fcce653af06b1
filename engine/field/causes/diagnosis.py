"""What is wrong: the readings of a design weighed, single causes first, then two together, and where to read next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from engine.design import Design, Reading
from engine.field.causes.evidence import Evidence, evidence_of
from engine.field.causes.next_reading import NextReading, next_reading
from engine.field.causes.pairs import Pair, pairs_of
from engine.field.causes.ranking import Ranking, alike, cause_of, ranking_of
from engine.field.causes.weighing import misfit

# Causes less probable than this are not told.
_TOLD = 0.005
# Readings that would come about less often than once in two hundred times are not explained; a single one that is so far off beside
# what the others tell is at odds (normal deviates; judgement).
_UNLIKELY, _AT_ODDS = 2.6, 2.6


@dataclass(frozen=True, slots=True)
class Cause:
    """A cause, the `others` that no reading at hand tells from it, each with its run, gate or port, "" for the collector.

    `severity` is between which severities the first lies, nine times in ten;
    `beside` the second cause where two act together.
    """

    cause: str
    place: str
    severity: tuple[float, float] | None
    probability: float
    others: tuple[tuple[str, str], ...] = ()
    beside: Cause | None = None

    @property
    def where(self) -> tuple[str, ...]:
        """All places where it may be."""
        return tuple(dict.fromkeys(place for place in (self.place, *(place for _, place in self.others)) if place))


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What is wrong, most probable first, by which `evidence`, and where to read next.

    `fits` tells whether a single cause explains the readings, `together`
    whether two do; where neither does, `odd` are the readings at odds with the best.
    """

    evidence: Evidence
    causes: tuple[Cause, ...]
    following: NextReading | None
    fits: bool
    together: bool
    odd: tuple[Reading, ...]


def diagnoses(design: Design, since: date | None = None) -> Iterator[Diagnosis]:
    """What is wrong with a consistent design that has runs, by its readings since a day: at first single causes, then with every two together."""
    evidence = evidence_of(design, since)
    ranking = ranking_of(evidence.lineup, evidence.before, evidence.seen)
    following = next_reading(design, evidence.lineup, evidence.state, evidence.before, ranking)
    fits, odd = _fit(ranking, evidence, ranking.cases.changes[int(np.argmax(ranking.weight))])
    yield Diagnosis(evidence, _causes(ranking, ()), following, fits, False, odd)
    if len(evidence.seen) < 2:
        return
    pairs: list[Pair] = []
    for pair in pairs_of(ranking):
        pairs.append(pair)
        best = max(pairs, key=lambda each: each.evidence)
        together = not fits and _fit(ranking, evidence, best.change)[0]
        yield Diagnosis(evidence, _causes(ranking, pairs), following, fits, together, () if together else odd)


def _fit(ranking: Ranking, evidence: Evidence, change: np.ndarray) -> tuple[bool, tuple[Reading, ...]]:
    """Whether what a case foresees explains what was read; if not, the readings at odds with it, the worst first."""
    if not evidence.seen:
        return True, ()
    deviate, off = misfit(ranking.spread, np.array([seen.log for seen in evidence.seen]), change)
    if deviate <= _UNLIKELY:
        return True, ()
    order = np.argsort(-np.abs(off))
    odd = [int(at) for at in order if abs(off[at]) > _AT_ODDS] or [int(order[0])]
    return False, tuple(evidence.readings[at] for at in odd)


def _causes(ranking: Ranking, pairs: Sequence[Pair]) -> tuple[Cause, ...]:
    odds = np.exp(np.minimum(np.array([pair.evidence for pair in pairs]) - ranking.evidence, 500.0))
    whole = 1.0 + float(odds.sum())
    found = [_single(ranking, group, whole) for group in alike(ranking)]
    found += [_double(ranking, pair, float(share / whole)) for pair, share in zip(pairs, odds, strict=True)]
    found.sort(key=lambda cause: -cause.probability)
    return tuple(cause for at, cause in enumerate(found) if cause.probability >= _TOLD or not at)


def _single(ranking: Ranking, group: Sequence[int], whole: float) -> Cause:
    first = group[0]
    share = float(ranking.probability[list(group)].sum()) / whole
    if first == len(ranking.suspects):
        return Cause(cause_of(ranking, first), "", None, share)
    course = int(ranking.cases.course[ranking.best(first)])
    one, *others = ((ranking.suspects[at].cause, ranking.suspects[at].where) for at in group)
    return Cause(*one, ranking.severities(first, course), share, tuple(others))


def _double(ranking: Ranking, pair: Pair, share: float) -> Cause:
    one, other = (
        Cause(ranking.suspects[at].cause, ranking.suspects[at].where, (severity, severity), share)
        for at, severity in zip(pair.suspects, pair.severities, strict=True)
    )
    return replace(one, beside=other)
