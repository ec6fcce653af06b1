"""A limit, where it comes from, and when a value is past it."""

from __future__ import annotations

from engine.values import dataclass

MARGIN = 0.01
"""Published limits are round numbers: what misses one by less than this share of it keeps it (judgement)."""


def least(limit: float) -> float:
    """The smallest value that keeps a lower limit."""
    return limit * (1.0 - MARGIN)


def most(limit: float) -> float:
    """The largest value that keeps an upper limit."""
    return limit * (1.0 + MARGIN)


def over(value: float, limit: float) -> bool:
    """Whether a value is above a limit by more than the margin."""
    return value > most(limit)


def under(value: float, limit: float) -> bool:
    """Whether a value is below a limit by more than the margin."""
    return value < least(limit)


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit in SI units or as a bare number; `source` is what a finding that applies it cites."""

    value: float
    source: str

    @property
    def least(self) -> float:
        """The smallest value that keeps it as a lower limit."""
        return least(self.value)

    @property
    def most(self) -> float:
        """The largest value that keeps it as an upper limit."""
        return most(self.value)
