"""Pipe to lay ways in, with the room that its fittings want, and the stops that branches lead to."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import cos, pi, tan

from engine.checks.rules import limit
from engine.shapes.vectors import Point

# Lengths are rounded later: this much more than must be.
SPARE = 0.02


@dataclass(frozen=True)
class Pipe:
    """Pipe to lay a way in: its bore and the centre-line radius of its elbows, m."""

    bore: float
    bend: float

    @cached_property
    def apart(self) -> float:
        """Straight to leave between two fittings, m."""
        return max(limit(None, "crowded-fittings", "apart"), limit(None, "crowded-fittings", "bores") * self.bore) + SPARE

    @cached_property
    def spur(self) -> float:
        """How far across a spur at 45 deg leads at least, m: straight enough before an elbow of up to 90 deg."""
        return (self.apart + self.bend) * cos(pi / 4)

    @cached_property
    def leg(self) -> float:
        """Length from the corner of an elbow of up to 90 deg to that of the next, m."""
        return 2 * self.bend + self.apart

    @cached_property
    def slant(self) -> float:
        """How much higher or lower a slant at 45 deg leads at least, m: its two elbows as far apart as no caution wants them farther."""
        return (2 * self.bend * tan(pi / 8) + limit(None, "crowded-fittings", "apart") + SPARE) * cos(pi / 4)

    def lead(self, bore: float) -> float:
        """Length from an inlet that wants so many of a bore (m) of straight to the corner of the first elbow, m."""
        return limit(None, "inlet-elbow", "bores") * bore + self.bend + SPARE


@dataclass(frozen=True, slots=True)
class Stop:
    """What one branch leads to: a place, the pipe that goes there; how far from the place it may end, and how much pipe comes down at least, m."""

    at: Point
    pipe: Pipe
    reach: float
    drop: float
