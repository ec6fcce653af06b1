"""Every change that someone could make, tried on the design and assessed anew; then pairs of the best."""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterator, Sequence
from itertools import combinations

from engine.checks.assess import Assessment, assess
from engine.design import Design
from engine.design.consistency import mistakes
from engine.edits import EditError
from engine.search.proposals import Standing, Step, standing
from engine.search.remedies import bores, joints, pieces, surroundings
from engine.search.remedies.change import Change
from engine.search.remedies.remedy import Remedy, remedy_of
from engine.units.words import counted

BEST_FOR_PAIRS = 10
# Two changes must do so much more than the better of them alone: judgement.
_MORE_THAN_ONE = 1.25


def changes(assessment: Assessment) -> Iterator[Change]:
    """Every single change worth a trial on an assessed design."""
    yield from surroundings.gate_sets(assessment)
    for of in (
        surroundings.collector, bores.mains, bores.runs, pieces.hoses, joints.angles, pieces.elbows, joints.tapers,
        pieces.straights, pieces.gates, joints.order, surroundings.ports, surroundings.leaks,
    ):  # fmt: skip
        yield from of(assessment.look)


def remedies(design: Design, assessment: Assessment | None = None, pairs: bool = True) -> Iterator[Step]:
    """Try single changes of a consistent design, then pairs of the best; the proposals of a step are `Remedy`s.

    A step for each trial, and one at the end. What does not help is left out. `assessment` is the
    design's, where it is known.
    """
    before = assessment or assess(design)
    was, found = standing(before), _Ranked()
    singles = list(changes(before))
    of = len(singles) + (BEST_FOR_PAIRS * (BEST_FOR_PAIRS - 1) // 2 if pairs else 0)
    for done, change in enumerate(singles, 1):
        found.add(trial((change,), before, was))
        yield Step(done, of, change.title, found.best_first())
    twos = list(_pairs(found.best_first())) if pairs else []
    of = len(singles) + len(twos)
    for done, (one, other) in enumerate(twos, len(singles) + 1):
        both = trial((*one.changes, *other.changes), before, was)
        if both and not both.effect.worse and both.effect.benefit > _MORE_THAN_ONE * max(one.effect.benefit, other.effect.benefit):
            found.add(both)
        yield Step(done, of, f"{one.title}, and {other.title}", found.best_first())
    ranked = found.best_first()
    yield Step(of, of, _summary(of, ranked), ranked)


def _summary(trials: int, found: Sequence[Remedy]) -> str:
    if not trials:
        return "nothing to change"
    worse = sum(one.effect.worse for one in found)
    last = f"; the last {worse} help in one place and make another worse" if worse else ""
    return f"{counted(trials, 'trial')}: {len(found) - worse} would help, the most gain for its work and price first{last}"


class _Ranked:
    """Remedies, kept in the order of their rank."""

    def __init__(self) -> None:
        self._kept: list[Remedy] = []

    def add(self, one: Remedy | None) -> None:
        if one and one.effect.helps:
            insort(self._kept, one, key=lambda remedy: remedy.rank)

    def best_first(self) -> tuple[Remedy, ...]:
        return tuple(self._kept)


def trial(wanted: Sequence[Change], before: Assessment, was: Standing) -> Remedy | None:
    """The design with these changes, assessed; None where they cannot be made."""
    design = before.design
    try:
        for change in wanted:
            design = change.edit(design)
    except EditError:
        return None
    if design == before.design or mistakes(design):
        return None
    return remedy_of(wanted, assess(design, before), before, was)


def _pairs(ranked: Sequence[Remedy]) -> Iterator[tuple[Remedy, Remedy]]:
    """Two of the best that do no harm; of alternatives on the same pieces the best one only."""
    best: list[Remedy] = []
    for one in ranked:
        alternative = any(one.changes[0].touches == other.changes[0].touches for other in best)
        if len(best) < BEST_FOR_PAIRS and not one.effect.worse and not alternative:
            best.append(one)
    return ((one, other) for one, other in combinations(best, 2) if not one.changes[0].meets(other.changes[0]))
