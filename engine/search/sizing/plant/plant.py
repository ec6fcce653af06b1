"""The three parts of a design whose sizes are open, put together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from engine.checks.rules import limit
from engine.design import Design
from engine.search.sizing.plant.answers import Answers
from engine.search.sizing.plant.choices import Choice, Choices, choices_of
from engine.search.sizing.plant.flows import Balanced, Needed
from engine.search.sizing.plant.prices import Prices, prices_of
from engine.values import dataclass


@dataclass(frozen=True)
class Plant:
    """What sizes there are, what they cost, and what they give; `throttled` as for `plant_of`."""

    choices: Choices
    prices: Prices
    answers: Answers
    throttled: bool

    def held(self, choice: Choice) -> Plant:
        """The plant whose joints keep, whatever the sizes, the coefficients they have under a choice; itself where none would change."""
        return self if self.answers.steady else self.with_joints(self.answers.coefficients(choice))

    def with_joints(self, coefficients: Mapping[str, float]) -> Plant:
        """The plant in which each run, by its id, loses so many velocity pressures of its own where it joins another."""
        return replace(self, answers=self.answers.with_joints(coefficients))

    @property
    def unprovable(self) -> str:
        """Why no proof by cuts holds here; nothing where one does."""
        return self.answers.flows.unprovable


def plant_of(design: Design, *, share: float | None = None, lenient: bool = False, throttled: bool = False, idle_narrow: bool = False) -> Plant:
    """A consistent design with its sizes open.

    `share` of its need is what every machine at work is to get, else all of
    it. `lenient`: its runs need only be fast enough that no load settles, and
    without a `share` a machine needs only what no measurement in the field
    would find wanting. `throttled`: each gate is throttled to its machine's need. `idle_narrow`:
    runs through which no gate set draws are as narrow as the store has them,
    so that they stand in no other's way; else they keep their size.
    """
    choices = choices_of(design)
    prices = prices_of(choices)
    if idle_narrow:
        choices = choices.with_idle_narrow()
        prices = prices_of(choices)
    wanted = share or (limit(design, "starved-machine", "tolerance") if lenient and not throttled else 1.0)
    flows = Needed(choices, wanted) if throttled else Balanced(choices, wanted)
    return Plant(choices, prices, Answers(choices, flows, lenient=lenient), throttled)
