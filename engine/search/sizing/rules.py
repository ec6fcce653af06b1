"""What sizes must keep in every gate set, and how far a balance is off."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from engine.air.balance import Balance

# The share of a port that has no rule.
PLENTY = 9.0


@dataclass(frozen=True, slots=True)
class Rule:
    """What must hold in a gate set: `least` flow of a port (m3/s), or a `slow` or `fast` limit on the speed of a run (m/s)."""

    gate_set: int
    kind: str
    what: str
    limit: float


@dataclass(frozen=True, slots=True)
class Answer:
    """One gate set solved: how far each broken rule is off, relative; the least share of a need; the top speed."""

    broken: tuple[tuple[Rule, float], ...]
    share: float
    top: float
    balance: Balance | None

    @property
    def off(self) -> float:
        """How far from meeting every rule."""
        return sum(by for _, by in self.broken)


def judged(rules: Iterable[Rule], balance: Balance) -> Answer:
    """A balance held against rules."""
    broken, share = [], PLENTY
    for rule in rules:
        if rule.kind == "least":
            state = balance.ports[rule.what]
            share, value = min(share, state.flow / state.needs), state.flow
        else:
            value = balance.runs[rule.what].velocity
        by = value / rule.limit - 1.0 if rule.kind == "fast" else 1.0 - value / rule.limit
        if by > 0.0:
            broken.append((rule, by))
    top = max((state.velocity for state in balance.runs.values() if state.carries), default=0.0)
    return Answer(tuple(broken), share, top, balance)
