"""Lengths and angles that a search writes into a design: rounded as a shop would, and worth what their text says."""

from __future__ import annotations

from functools import lru_cache
from math import ceil, degrees

from engine.units import Quantity, make, parse

# Lengths are given to the centimetre or the half inch, m.
STEP = {"metric": 0.01, "imperial": 0.0127}


def round_length(metres: float, units: str) -> Quantity:
    """A length to the centimetre or the half inch; `units` are "metric" or "imperial"."""
    return _length_in_steps(round(metres / STEP[units]), units)


def length_up(metres: float, units: str) -> Quantity:
    """A length up to the centimetre or the half inch."""
    return _length_in_steps(ceil(metres / STEP[units] - 1e-6), units)


@lru_cache(maxsize=10_000)
def _length_in_steps(steps: int, units: str) -> Quantity:
    return make(steps * STEP[units], "length", units)


@lru_cache(maxsize=1000)
def whole_degrees(degrees: int) -> Quantity:
    """An angle of so many degrees."""
    return parse(f"{degrees} deg", "angle")


def round_angle(radians: float) -> Quantity:
    """An angle to the tenth of a degree."""
    return parse(f"{round(degrees(radians), 1):g} deg", "angle")


def as_shown(si: float, dimension: str, units: str) -> Quantity:
    """A quantity worth what its text says in some units, `si` as near as that shows it."""
    return make(si, dimension, units)
