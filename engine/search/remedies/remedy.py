"""A proposal that tells its changes and what they do."""

from __future__ import annotations

from collections.abc import Sequence

from engine.checks.assess import Assessment
from engine.design import Design
from engine.design.names import fresh_name
from engine.design.places import GateSetAt
from engine.edits import set_field
from engine.parts.touched import touched
from engine.search.findings import matter
from engine.search.proposals import Proposal, Standing
from engine.search.ranking import Rank
from engine.search.remedies.change import Change
from engine.search.remedies.effect import Effect, effect_of
from engine.search.remedies.effect_words import in_words
from engine.values import dataclass


@dataclass(frozen=True, slots=True)
class Remedy(Proposal):
    """A proposal that tells its changes, one or two, and what they do."""

    changes: tuple[Change, ...]
    effect: Effect

    @property
    def as_taken(self) -> Design:
        """Its design, gate sets whose gates it changes named by what is open: while it is looked at they keep their names, to be compared."""
        design = self.design
        changed = {what[1] for change in self.changes for what in change.touches if what[0] == "gate set"}
        for index, gate_set in enumerate(design.gate_sets):
            if gate_set.name in changed:
                others = {one.name for one in design.gate_sets} - {gate_set.name}
                design = set_field(design, GateSetAt(index), "name", fresh_name(" and ".join(gate_set.open), others))
        return design

    @property
    def upkeep(self) -> bool:
        """Whether nothing of it changes what was built."""
        return all(change.upkeep for change in self.changes)

    @property
    def order(self) -> tuple[bool, bool, Rank, float, str]:
        """Sorts the best first, then what cannot be made so, upkeep last; of one rank the least work first."""
        return self.upkeep, bool(self.effect.unmade), self.effect.rank, sum(change.work for change in self.changes), self.title

    def is_twin(self, other: Remedy) -> bool:
        """Whether both do the same as far as anybody will notice, at the same pieces."""
        one, two = self.effect, other.effect
        touched = {touch for change in other.changes for touch in change.touches}
        return (
            (one.rank.gains, set(map(matter, one.cleared)), set(map(matter, one.added)))
            == (two.rank.gains, set(map(matter, two.cleared)), set(map(matter, two.added)))
            and all(change.touches & touched for change in self.changes)
        )  # fmt: skip


def remedy_of(changes: Sequence[Change], after: Assessment, before: Assessment, was: Standing) -> Remedy:
    """A remedy of one change or several, with what they do to the assessment `before`, whose standing `was` is."""
    title = ", and ".join(change.title for change in changes)
    effect = effect_of(after, before, was)
    notes = [*dict.fromkeys(change.note for change in changes), touched(before.design, after.design).in_words]
    return Remedy(title, "; ".join(filter(None, (*in_words(effect), *notes))), after.design, effect.after, tuple(changes), effect)
