"""How sure the flows shown are: bands, computed when they are wanted and kept while the assessment stands."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING

from engine.checks.assess import Assessment

if TYPE_CHECKING:  # with NumPy, slow to load: not before a band is wanted
    from engine.air.band import Band
    from engine.air.bands import Doubt

    # The band of each open port's flow, by the index of the gate set.
    Bands = Mapping[int, Mapping[str, Band]]


class KnownBands:
    """The bands of one assessment at a time, a gate set with each call."""

    def __init__(self) -> None:
        self.assessment: Assessment | None = None
        self._doubts: tuple[Doubt, ...] | None = None
        self._known: dict[int, dict[str, Band]] = {}

    def follow(self, assessment: Assessment) -> None:
        """Turn to an assessment; what was known of the one before is dropped."""
        if assessment is not self.assessment:
            self.assessment, self._doubts, self._known = assessment, None, {}

    @property
    def known(self) -> Bands:
        """What was computed so far; empty for a gate set of which no band can be told."""
        return MappingProxyType(self._known)

    def knows(self, index: int) -> bool:
        """Whether the gate set at `index` was computed."""
        return index in self._known

    def learn(self, index: int) -> None:
        """Compute the bands of the gate set at `index`."""
        from engine.air.bands import band

        if self.assessment and index not in self._known:
            self._known[index] = band(self._know_doubts(self.assessment), self.assessment.sets[index])

    def learn_more(self) -> None:
        """Compute a part of what is missing: the doubts of the design, then one gate set after the other."""
        if self.assessment is None:
            return
        if self._doubts is None:
            self._know_doubts(self.assessment)
        elif missing := [index for index in range(len(self.assessment.sets)) if index not in self._known]:
            self.learn(missing[0])

    def _know_doubts(self, assessment: Assessment) -> tuple[Doubt, ...]:
        from engine.air.bands import doubts

        if self._doubts is None:
            self._doubts = doubts(assessment.design, assessment.tree)
        return self._doubts
