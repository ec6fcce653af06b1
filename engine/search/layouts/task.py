"""What is to be laid: the machines' branches, the inlet, and where in the room mains may lie.

Points are (east, north, up) in m.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from math import inf, pi, tan

import numpy as np

from engine.checks.rules import limit
from engine.design import Design, defaults
from engine.search.layouts.sizes.pipes import Pipe, Stop
from engine.search.layouts.ways.routes import HOSE_RISE
from engine.shapes import many
from engine.shapes.clearance import Box, wider
from engine.shapes.many import Array
from engine.shapes.vectors import DIRECTIONS, Point
from engine.space.room import Room
from engine.values import dataclass

# How far off a wall, the ceiling and the floor a main is laid, and how far below every port a low one, m: judgement.
OFF_WALL, _OFF_CEILING, _OFF_FLOOR, _BELOW_PORTS = 0.15, 0.05, 0.05, 0.3
# A branch from a main over heads has so much more room to come down than it must, m.
_SPARE = 0.1
_NOTHING = 1e-6


@dataclass(frozen=True)
class Band:
    """How high mains may run, m: their pipe's lower side over heads, and what the owner says of their middle; `overhead` or `low` is wanted.

    Nobody walks nearer to a wall than `beside` m.
    """

    headroom: float
    beside: float = 0.0
    lowest: float = 0.0
    highest: float = inf
    overhead: bool = True
    low: bool = False


def band_of(design: Design) -> Band:
    """What the owner says of how high mains may run."""
    site = design.site
    wanted = site.mains or defaults.MAINS
    return Band(
        headroom=(site.headroom or defaults.HEADROOM).si, beside=limit(design, "headroom", "beside"),
        lowest=site.main_lowest.si if site.main_lowest else 0.0, highest=site.main_highest.si if site.main_highest else inf,
        overhead=wanted != "under benches", low=wanted != "overhead",
    )  # fmt: skip


@dataclass(frozen=True)
class Task:
    """What is to be laid, to at least one stop.

    `faces` is the way the inlet looks, one of DIRECTIONS, None where that is
    free; `main` the widest pipe of a main, which narrows by `step` at one
    joint at most, `inlet_bore` that of the inlet, m; `joists` the way they
    run, None where that is not known; `bodies` are the machines', each with
    the stops that belong to it.
    """

    inlet: Point
    faces: str | None
    stops: tuple[Stop, ...]
    main: Pipe
    band: Band
    room: Room
    inlet_bore: float = 0.0
    joists: str | None = None
    step: float = 0.0
    bodies: tuple[tuple[Box, frozenset[int]], ...] = ()

    @property
    def headings(self) -> tuple[str, ...]:
        """The ways the inlet may look."""
        return (self.faces,) if self.faces else DIRECTIONS[:4]

    def is_across_joists(self, along: int) -> bool:
        """Whether a main along a level axis crosses the joists of the ceiling."""
        return self.joists is not None and (self.joists == "east-west") == (along == 1)

    @property
    def lead(self) -> float:
        """Length from the inlet to the corner of the first elbow, m: straight enough for the wider of inlet and main."""
        return self.main.lead(max(self.main.bore, self.inlet_bore))

    @cached_property
    def apart(self) -> float:
        """Straight between two joints of a main, m."""
        return max(behind for behind, _ in self._before_joints)

    @cached_property
    def behind_y(self) -> float:
        """Length from the corner of a Y to the first joint behind it, m."""
        return self.main.spur + self.main.bend * tan(pi / 8) + max(behind for _, behind in self._before_joints)

    @cached_property
    def _before_joints(self) -> tuple[tuple[float, float], ...]:
        return tuple(self.main.between_joints(stop.pipe, self.main.bore - self.step) for stop in self.stops)

    @cached_property
    def most(self) -> float:
        """How high the middle of a main may run, m."""
        return min(self.room.ceiling - self.main.bore / 2 - _OFF_CEILING, max(self.band.highest, self.band.lowest))

    @cached_property
    def overhead(self) -> float:
        """How high a main over heads runs: tight under the ceiling; where none is known just above heads, and above every port with its branch."""
        above_ports = max(stop.at[2] + HOSE_RISE + stop.drop + stop.pipe.bend for stop in self.stops) + _SPARE
        above_inlet = self.inlet[2] + self.lead if self.faces == "up" else 0.0
        usual = max(self.band.headroom + self.main.bore / 2, self.band.lowest, above_ports, above_inlet)
        return self.most if self.most < inf else usual

    @cached_property
    def low(self) -> float | None:
        """How high a main under the benches runs, None where that is not wanted or a port is too low for one."""
        height = max(self.main.bore / 2 + _OFF_FLOOR, self.band.lowest if not self.band.overhead else 0.0)
        fits = self.band.low and all(stop.at[2] >= height + _BELOW_PORTS for stop in self.stops)
        return height if fits else None

    @property
    def heights(self) -> tuple[float, ...]:
        """How high mains had best run, m."""
        low = () if self.low is None else (self.low,)
        return (self.overhead, *low) if self.band.overhead or not low else low

    def is_at_heads(self, height: float) -> bool:
        """Whether people would walk into a main at this height, m."""
        return height - self.main.bore / 2 < self.band.headroom - _NOTHING

    @property
    def is_barred_anywhere(self) -> bool:
        """Whether anything can be in a duct's way."""
        return self.room.is_known or bool(self.bodies)

    def metres_barred(self, starts: Array, ends: Array, stops: Sequence[int | None] = ()) -> Array:
        """Metres of many straight ways of the main's bore, from and to (ways, 3), that no duct can take, (ways,).

        They lie behind a wall, above the ceiling, in a zone, or in a machine
        other than that of the stop which the way leads to alone.
        """
        radius = self.main.bore / 2
        barred = self.room.metres_barred(starts, ends, radius)
        if not self.bodies:
            return barred
        shares = many.shares_within(starts, ends, [wider(box, radius) for box, _ in self.bodies])
        for way, stop in enumerate(stops):
            shares[way, [stop in own for _, own in self.bodies]] = 0.0
        metres: Array = np.maximum(barred, shares.max(axis=1) * np.linalg.norm(ends - starts, axis=1))
        return metres

    def metres_at_heads(self, starts: Array, ends: Array) -> Array:
        """Metres of many straight ways of the main that hang level where people walk, (ways,); not what the inlet wants straight."""
        level, length = np.abs(ends[:, 2] - starts[:, 2]) < _NOTHING, np.linalg.norm(ends - starts, axis=1)
        low = level & (starts[:, 2] - self.main.bore / 2 < self.band.headroom - _NOTHING) & self.band.overhead
        low[low] &= self.room.hold((starts[low, :2] + ends[low, :2]) / 2, self.band.beside)
        at_inlet = np.linalg.norm(starts - np.array(self.inlet), axis=1) < _NOTHING
        metres: Array = np.where(low, np.maximum(length - self.lead * at_inlet, 0.0), 0.0)
        return metres

    @cached_property
    def spans(self) -> tuple[tuple[float, float], ...]:
        """From where to where the stops stand along either level axis, m."""
        by_axis = ([stop.at[axis] for stop in self.stops] for axis in (0, 1))
        return tuple((min(values), max(values)) for values in by_axis)

    @cached_property
    def walls(self) -> tuple[tuple[tuple[float, int], ...], ...]:
        """The walls along either level axis beside at least half the machines' span: where each lies across it, and to which side the room is."""
        return tuple(tuple(_walls(self.room, along, self.spans[along])) for along in (0, 1))

    def off_wall(self, wall: tuple[float, int]) -> float:
        """Where the middle of a main along a wall lies, m."""
        return wall[0] + wall[1] * (OFF_WALL + self.main.bore / 2)


def _walls(room: Room, along: int, span: tuple[float, float]) -> Iterator[tuple[float, int]]:
    across = 1 - along
    for a, b in room.walls:
        beside = min(max(a[along], b[along]), span[1]) - max(min(a[along], b[along]), span[0])
        if abs(a[across] - b[across]) < _NOTHING < abs(a[along] - b[along]) and beside >= (span[1] - span[0]) / 2:
            for inward in (1, -1):
                just_off = (
                    (a[0] + b[0]) / 2 + inward * 0.01 * (across == 0),
                    (a[1] + b[1]) / 2 + inward * 0.01 * (across == 1),
                )
                if room.holds(just_off):
                    yield a[across], inward
