"""Pipe to lay ways in, with the room that its fittings want, and the stops that branches lead to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field
from functools import cached_property
from math import cos, pi, radians, tan

from engine.catalog.joining import practice
from engine.checks.rules import limit
from engine.design import Design, Stock, defaults
from engine.shapes.clearance import Box
from engine.shapes.vectors import Point
from engine.space.bodies import body_length, joint_body, taper_length
from engine.values import dataclass

# Lengths are rounded later: this much more than must be.
SPARE = 0.02
# How far branches lean, degrees and rad.
LEAN = 45
_LEAN = radians(LEAN)


@dataclass(frozen=True, slots=True)
class Wants:
    """What must lie between fittings: the limits of a design, and the stock whose bodies of fittings have to fit in, None for the usual ones.

    `apart` is the least straight [m] and `bores` the same in bores, `inlet`
    the straight of an inlet in bores, `hose` the longest hose that is good, m.
    """

    apart: float
    bores: float
    inlet: float
    hose: float
    stock: Stock | None

    @property
    def shortest(self) -> float:
        """The shortest straight that can be made, m."""
        own = self.stock.shortest if self.stock else None
        return own.si if own else practice().shortest

    @property
    def material(self) -> str:
        """What the pipe is made of."""
        return self.stock.material if self.stock else defaults.PIPE_MATERIAL


def wants_of(design: Design | None = None, stock: Stock | None = None) -> Wants:
    """What fittings want in a design, by its own limits; by the published ones for None."""
    of: Callable[[str, str], float] = lambda code, name: limit(design, code, name)  # noqa: E731
    apart, bores = of("crowded-fittings", "apart"), of("crowded-fittings", "bores")
    return Wants(apart, bores, of("inlet-elbow", "bores"), of("long-hose", "good") - SPARE, stock)


@dataclass(frozen=True)
class Pipe:
    """Pipe to lay a way in: its bore and the centre-line radius of its elbows, m."""

    bore: float
    bend: float
    wants: Wants = field(default_factory=wants_of, compare=False, repr=False)

    @cached_property
    def apart(self) -> float:
        """Straight to leave between two fittings, m."""
        return max(self.wants.apart, self.wants.bores * self.bore, 2 * self._end + self.wants.shortest) + SPARE

    @cached_property
    def spur(self) -> float:
        """How far across a spur at 45 deg leads at least, m: straight enough before an elbow of up to 90 deg."""
        return (self.apart + self.bend) * cos(_LEAN)

    def spur_off(self, main: Pipe, *, gated: bool = False) -> float:
        """The same off a main, with the body of the branch in it, and that of a gate where it is `gated` there."""
        body = joint_body(main.bore, self.bore, _LEAN, main.wants.stock, main.wants.material).side
        gate = self._body("gate") if gated else 0.0
        return (max(self.apart, body + gate + self.wants.shortest + self._end + SPARE) + self.bend) * cos(_LEAN)

    def between_joints(self, branch: Pipe, narrower: float) -> tuple[float, float]:
        """Straight to leave before a branch off a main, m: behind another, and behind a Y; with a lid, where the main narrows to a bore [m]."""
        stock, material = self.wants.stock, self.wants.material
        body = joint_body(self.bore, branch.bore, _LEAN, stock, material)
        leg = joint_body(self.bore, self.bore, _LEAN, stock, material, leg=True)
        taper = taper_length(self.bore, narrower, defaults.TAPER.si, stock)
        room = taper + self._body("cleanout") + self.wants.shortest + body.inner + SPARE
        return max(self.apart, body.outer + room), max(self.apart, leg.side + room)

    @cached_property
    def leg(self) -> float:
        """Length from the corner of an elbow of up to 90 deg to that of the next, m."""
        return 2 * self.bend + self.apart

    @cached_property
    def slant(self) -> float:
        """How much higher or lower a slant at 45 deg leads at least, m: its two elbows as far apart as no caution wants them farther."""
        return (2 * self.bend * tan(pi / 8) + self.wants.apart + SPARE) * cos(pi / 4)

    def lead(self, bore: float) -> float:
        """Length from an inlet that wants so many of a bore (m) of straight to the corner of the first elbow, m."""
        return self.wants.inlet * bore + self.bend + SPARE

    @cached_property
    def _end(self) -> float:
        return self._body("elbow")

    def _body(self, of: str) -> float:
        return body_length(of, self.bore, self.wants.stock, self.wants.material)


@dataclass(frozen=True, slots=True)
class Stop:
    """What one branch leads to: a place, the pipe that goes there; how far from the place it may end, and how much pipe comes down at least, m.

    `spur` is how far across it leaves its main at least, m; `body` what its
    machine takes of the room, where that is in the way of what comes down
    there; `port` where the hose goes to, the place itself for None.
    """

    at: Point
    pipe: Pipe
    reach: float
    drop: float
    spur: float
    body: Box | None = None
    port: Point | None = None
