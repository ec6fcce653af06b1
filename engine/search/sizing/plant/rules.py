"""What sizes must keep in every gate set, and how far an answer is off."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from engine.catalog.limits import least, most
from engine.values import dataclass

# The share of a port that has no rule.
PLENTY = 9.0

Kind = Literal["least", "slow", "fast"]


@dataclass(frozen=True, slots=True)
class Rule:
    """What must hold in a gate set: `least` flow of a port (m3/s), or a `slow` or `fast` limit on the speed of a run (m/s)."""

    gate_set: int
    kind: Kind
    what: str
    limit: float

    @property
    def bound(self) -> float:
        """The last value that keeps it, by which findings judge too: a limit on speed is kept within its margin."""
        return {"least": self.limit, "slow": least(self.limit), "fast": most(self.limit)}[self.kind]

    def miss(self, value: float) -> float:
        """How far a flow or speed is on the wrong side of its bound, as a share of it; 0 or less where it keeps the rule."""
        return value / self.bound - 1.0 if self.kind == "fast" else 1.0 - value / self.bound


@dataclass(frozen=True, slots=True)
class Answer:
    """One gate set solved: how far each broken rule is off, relative; the least share of a need; the top speed, m/s.

    `known`: whether it has flows; without, it breaks every rule, but only
    because nothing is known.
    """

    broken: tuple[tuple[Rule, float], ...]
    share: float
    top: float
    known: bool

    @property
    def off(self) -> float:
        """How far from meeting every rule."""
        return sum(by for _, by in self.broken)

    def breaks(self, rule: Rule) -> bool:
        """Whether a rule is broken for certain."""
        return self.known and any(broken == rule for broken, _ in self.broken)


def no_answer(rules: Iterable[Rule]) -> Answer:
    """The answer where nothing is known."""
    return Answer(tuple((rule, 1.0) for rule in rules), share=0.0, top=0.0, known=False)
