"""A proposal that tells its changes and what they do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from engine.checks.assess import Assessment
from engine.search.proposals import Proposal, Standing
from engine.search.remedies.change import Change
from engine.search.remedies.effect import Effect, effect_of
from engine.search.remedies.effect_words import in_words


@dataclass(frozen=True, slots=True)
class Remedy(Proposal):
    """A proposal that tells its changes, one or two, and what they do."""

    changes: tuple[Change, ...]
    effect: Effect

    @property
    def rank(self) -> tuple[bool, float, str]:
        """Sorts the best first."""
        return self.effect.worse, -self.effect.score, self.title


def remedy_of(changes: Sequence[Change], after: Assessment, before: Assessment, was: Standing) -> Remedy:
    """A remedy of one change or several, with what they do to the assessment `before`, whose standing `was` is."""
    title = ", and ".join(change.title for change in changes)
    effect = effect_of(after, before, was, work=sum(change.work for change in changes), merit=sum(change.merit for change in changes))
    notes = [change.note for change in changes if change.note]
    return Remedy(title, "; ".join([*in_words(effect), *notes]), after.design, effect.after, tuple(changes), effect)
