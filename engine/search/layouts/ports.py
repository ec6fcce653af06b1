"""One drop for several ports of a machine: which goes straight on, and where the others leave it.

A drop comes down over its lowest port. The others branch off above it at
45 deg, each as high as its hose wants.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, hypot, pi

from engine.design import Port
from engine.search.layouts.sizes.pipes import Pipe
from engine.search.layouts.ways.routes import HOSE_RISE
from engine.shapes.vectors import Point
from engine.values import dataclass

# The pipe of a branch at a machine is at least so long, and ends this far from over its port and above it, m: judgement.
_SHORTEST, _SHORT_OF, _SIDE_RISE = 0.3, 0.15, 0.2


@dataclass(frozen=True, slots=True)
class Outlet:
    """How a port at a place hangs on its drop: how long its pipe is, nothing straight on; how high above the floor it leaves, m."""

    port: Port
    at: Point
    pipe: float
    leaves: float


def outlets(ports: Sequence[Port], places: Sequence[Point], pipe: Pipe) -> tuple[Outlet, ...]:
    """The outlets of a drop to at least one port, the uppermost first, the one straight on last."""
    lowest = min(range(len(ports)), key=lambda i: (round(places[i][2], 2), -ports[i].needs.si))
    foot, sides = places[lowest], []
    for i, at in enumerate(places):
        if i != lowest:
            aside = hypot(at[0] - foot[0], at[1] - foot[1])
            length = max((aside - _SHORT_OF) / cos(pi / 4), _SHORTEST)
            sides.append((at[2] + _SIDE_RISE + length * cos(pi / 4), i, length))
    found = [Outlet(ports[lowest], foot, 0.0, foot[2] + HOSE_RISE)]
    for wanted, i, length in sorted(sides):
        found.append(Outlet(ports[i], places[i], length, max(wanted, found[-1].leaves + pipe.apart)))
    return tuple(reversed(found))
