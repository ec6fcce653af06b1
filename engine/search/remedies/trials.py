"""Every change that someone could make, tried on the design and assessed anew; then pairs of the best."""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations, product

from engine.air.one.network import compile_tree
from engine.checks.assess import Assessment, assess
from engine.design import Design
from engine.design.meaning import stays
from engine.design.rules.consistency import mistakes
from engine.edits import EditError
from engine.parts.touched import touched
from engine.search.proposals import Standing, Step, kept_in_words, standing
from engine.search.remedies import bores, drops, joints, pieces, surroundings
from engine.search.remedies.airs import Made
from engine.search.remedies.change import Change
from engine.search.remedies.foreseen import Foresight
from engine.search.remedies.remedy import Remedy, remedy_of
from engine.units.words import counted, listed

# For pairs the best that help, and the most faults cleared among those that help only in part; so few that pairs stay at most 45.
BEST_FOR_PAIRS, HALVES_FOR_PAIRS = 7, 3
_MOST_NAMED = 3
# So many trials are solved together: more gain little, and the first to be told would wait for them.
_AT_ONCE = 32
_MOST_PAIRS = BEST_FOR_PAIRS * (BEST_FOR_PAIRS - 1) // 2 + BEST_FOR_PAIRS * HALVES_FOR_PAIRS


def changes(assessment: Assessment) -> Iterator[Change]:
    """Every single change worth a trial on an assessed design; those of runs that stay as they are left out."""
    kept = {run.id for run in assessment.design.runs if stays(run)}
    yield from surroundings.gate_sets(assessment)
    for of in (
        surroundings.collector, bores.mains, bores.runs, pieces.hoses, joints.angles, pieces.elbows, joints.tapers,
        pieces.straights, pieces.gates, drops.shared, joints.order, surroundings.ports, surroundings.leaks,
    ):  # fmt: skip
        yield from (change for change in of(assessment.look) if kept.isdisjoint(touched for touched, _ in change.touches))


def remedies(design: Design, assessment: Assessment | None = None, pairs: bool = True) -> Iterator[Step]:
    """Try single changes of a consistent design, then pairs of the best; the proposals of a step are `Remedy`s.

    A step for each trial, and one at the end. What does not help, or makes worse what matters, is left out. `assessment` is the
    design's, where it is known.
    """
    before = assessment or assess(design)
    was, found = standing(before), _Ranked()
    foresight = Foresight(before, was)
    singles = [(change,) for change in changes(before)]
    of = len(singles) + (_MOST_PAIRS if pairs else 0)
    for done, ((change,), one) in enumerate(zip(singles, _worth_telling(singles, foresight), strict=True), 1):
        found.add(one)
        yield Step(done, of, change.title, found.best_first())
    twos = list(_pairs(found.best_first(), found.halves)) if pairs else []
    of = len(singles) + len(twos)
    both_of = _worth_telling([(*one.changes, *other.changes) for one, other in twos], foresight)
    for done, ((one, other), both) in enumerate(zip(twos, both_of, strict=True), len(singles) + 1):
        if (
            both
            and both.effect.helps
            and all(both.effect.rank.conditions < each.effect.rank.conditions or each.effect.worse for each in (one, other))
        ):
            found.add(both)
        yield Step(done, of, f"{one.title}, and {other.title}", found.best_first())
    ranked = found.best_first()
    yield Step(of, of, "; ".join(filter(None, (_summary(of, ranked, found.halves), kept_in_words(design)))), ranked)


def _summary(trials: int, found: Sequence[Remedy], halves: Sequence[Remedy]) -> str:
    if not trials:
        return "nothing to change"
    upkeep = sum(one.upkeep for one in found)
    last = "; the last is upkeep and changes nothing that was built" if upkeep else ""
    most = listed([one.title for one in halves], _MOST_NAMED)
    left = f"; {len(halves)} more clear faults and make others, so they are no row here: most of all {most}" if halves else ""
    return f"{counted(trials, 'trial')}: {len(found)} would help, and make nothing worse that matters{left}{last}"


class _Ranked:
    """Remedies that help, best first; of twins the better one, with the names of the others.

    `halves` are single changes that clear faults and make worse what matters, the most faults cleared first.
    """

    def __init__(self) -> None:
        self._kept: list[Remedy] = []
        self._best: tuple[Remedy, ...] | None = None
        self.halves: list[Remedy] = []

    def add(self, one: Remedy | None) -> None:
        if one and one.effect.helps:
            insort(self._kept, one, key=lambda remedy: remedy.order)
            self._best = None
        elif one and one.effect.half_helps and len(one.changes) == 1:
            insort(self.halves, one, key=lambda remedy: (remedy.effect.net("fault"), remedy.order))

    def best_first(self) -> tuple[Remedy, ...]:
        if self._best is None:
            self._best = self._without_twins()
        return self._best

    def _without_twins(self) -> tuple[Remedy, ...]:
        kept: list[tuple[Remedy, list[str]]] = []
        for one in self._kept:
            if twins := next((twins for other, twins in kept if one.is_twin(other)), None):
                twins.append(one.title)
            else:
                kept.append((one, [one.title]))
        return tuple(replace(one, reason=f"{one.reason}; much the same: {', or '.join(twins[1:])}") if twins[1:] else one for one, twins in kept)


def trial(wanted: Sequence[Change], before: Assessment, was: Standing) -> Remedy | None:
    """The design with these changes, assessed; None where they cannot be made."""
    design = _changed(wanted, before.design)
    return remedy_of(wanted, assess(design, before), before, was) if design else None


def _worth_telling(trials: Sequence[Sequence[Change]], foresight: Foresight) -> Iterator[Remedy | None]:
    """The same of many trials in turn; None too where nobody would offer it."""
    before, was = foresight.before, foresight.was
    for begin in range(0, len(trials), _AT_ONCE):
        some = trials[begin : begin + _AT_ONCE]
        designs = [_changed(wanted, before.design) for wanted in some]
        after = foresight.assessed([Made(design, compile_tree(design, before=before.tree)) for design in designs if design])
        for wanted, design in zip(some, designs, strict=True):
            found = next(after) if design else None
            yield remedy_of(wanted, found, before, was) if found else None


def _changed(wanted: Sequence[Change], before: Design) -> Design | None:
    """The design with these changes, and what goes along; None where they cannot be made or change nothing."""
    design = before
    try:
        for change in wanted:
            design = change.edit(design)
    except EditError:
        return None
    return None if design == before or mistakes(design) else touched(before, design).design


def _pairs(ranked: Sequence[Remedy], halves: Sequence[Remedy]) -> Iterator[tuple[Remedy, Remedy]]:
    """Two of the best that were built, then one of them with one that helps in part; of alternatives on the same pieces the best one only."""
    best: list[Remedy] = []
    for one in ranked:
        alternative = any(one.changes[0].touches == other.changes[0].touches for other in best)
        if len(best) < BEST_FOR_PAIRS and not one.upkeep and not alternative:
            best.append(one)
    pairs = (*combinations(best, 2), *product(halves[:HALVES_FOR_PAIRS], best))
    return ((one, other) for one, other in pairs if not one.changes[0].meets(other.changes[0]))
