"""One drop for several ports of a machine: which goes straight on, and where the others leave it.

A drop comes down over its lowest port. The others branch off above it at
45 deg, each as high as its hose wants.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, pi

from engine.design import Port
from engine.search.layouts.sizes.pipes import Pipe
from engine.search.layouts.ways.route_pieces import toward
from engine.search.layouts.ways.routes import HOSE_RISE
from engine.shapes.vectors import Point

# The pipe of a branch at a machine is at least so long, and ends this far from over its port and above it, m: judgement.
_SHORTEST, _SHORT_OF, _SIDE_RISE = 0.3, 0.15, 0.2


@dataclass(frozen=True, slots=True)
class Outlet:
    """How a port hangs on its drop: the way its pipe leaves, "" straight on; how long that is; how high above the floor it leaves, m."""

    port: Port
    toward: str
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
    found = [Outlet(ports[lowest], "", 0.0, foot[2] + HOSE_RISE)]
    for wanted, i, length in sorted(sides):
        east, north = places[i][0] - foot[0], places[i][1] - foot[1]
        side = toward((0.0, 0.0, 0.0), (east, north, 0.0)) if east or north else "east"
        found.append(Outlet(ports[i], side, length, max(wanted, found[-1].leaves + pipe.apart)))
    return tuple(reversed(found))
