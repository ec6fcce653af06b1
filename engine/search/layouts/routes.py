"""Where the ducts of a first layout run in space: the ways to the machines along one or two mains.

A main runs level along an axis. Every stop has a way of its own: off the main
at 45 deg, across, down or up, and a hose's length short of its port. Points
are (east, north, up) in m; ways go outward from the collector.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from math import cos, dist, hypot, pi, sqrt

import numpy as np

from engine.checks.rules import limit
from engine.search.layouts.route_pieces import corners
from engine.shapes.many import Array, Bools
from engine.shapes.vectors import Point

# A hose hangs from this high above its port and is this much longer than the way it spans: judgement.
HOSE_RISE, HOSE_SLACK = 0.4, 1.15
# Lengths are rounded later: this much more than must be.
_SPARE = 0.02
# What a metre out of a hose's reach counts in metres of duct, and a metre back beside the main beyond the first: judgement.
_OUT_OF_REACH, _BACK, _BESIDE = 100.0, 3.0, 1.0
# So many means of stretches of marks are held at once: 32 MB.
_MOST_MEANS = 4_000_000


@dataclass(frozen=True)
class Pipe:
    """Pipe to lay a way in: its bore and the centre-line radius of its elbows, m."""

    bore: float
    bend: float

    @cached_property
    def apart(self) -> float:
        """Straight to leave between two fittings, m."""
        return max(limit(None, "crowded-fittings", "apart"), limit(None, "crowded-fittings", "bores") * self.bore) + _SPARE

    @cached_property
    def spur(self) -> float:
        """How far across a spur at 45 deg leads at least, m: straight enough before an elbow of up to 90 deg."""
        return (self.apart + self.bend) * cos(pi / 4)

    @cached_property
    def leg(self) -> float:
        """Length from the corner of an elbow of up to 90 deg to that of the next, m."""
        return 2 * self.bend + self.apart

    @cached_property
    def lead(self) -> float:
        """Length from the collector to the corner of the first elbow, m."""
        return limit(None, "inlet-elbow", "bores") * self.bore + self.bend + _SPARE


@dataclass(frozen=True, slots=True)
class Stop:
    """What one branch leads to: a place, and the pipe that goes there."""

    at: Point
    pipe: Pipe


@dataclass(frozen=True, slots=True)
class Way:
    """From a joint of the main to near the stop of index `stop`; a hose has `gap` m to span."""

    stop: int
    points: tuple[Point, ...]
    gap: float

    @property
    def joint(self) -> Point:
        """Where it leaves the main."""
        return self.points[0]


@dataclass(frozen=True, slots=True)
class Arm:
    """The main along the line: how it gets there, its direction, and the ways that leave it, the nearest first."""

    start: tuple[Point, ...]
    direction: Point
    ways: tuple[Way, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """The lines of arms that go along one axis to one side (1 or -1) of it, each from its corner (lines, 3).

    Its first joint lies at least `least` (lines,) m beyond the corner, the
    others `apart`.
    """

    along: int
    side: int
    corners: Array
    least: Array
    apart: float

    @property
    def across(self) -> int:
        """The other level axis."""
        return 1 - self.along

    @property
    def direction(self) -> Point:
        """The way the arms go."""
        return shift((0.0, 0.0, 0.0), self.along, float(self.side))


@dataclass(frozen=True, slots=True, eq=False)
class _Joints:
    """Where ways leave lines, the nearest first: to which stop, how far along, how far across the spur leads, how high the way ends.

    `away` is how far across the stop lies, `has_leg` whether that has room for
    an elbow after the spur; else the spur goes all the way. All but `order`,
    the stops' indexes, are (lines, stops).
    """

    order: tuple[int, ...]
    at: Array
    spur: Array
    away: Array
    has_leg: Bools
    end: Array


def ways_along(lines: Lines, stops: Sequence[Stop], mine: Sequence[int]) -> tuple[tuple[Way, ...], ...]:
    """The ways of each arm to those of the stops that are `mine`, by index; the nearest first."""
    joints = _joints(lines, stops, mine)
    found = []
    for row, (east, north, up) in enumerate(lines.corners.tolist()):
        places = zip(joints.order, *(part[row].tolist() for part in (joints.at, joints.spur, joints.has_leg, joints.end)), strict=True)
        found.append(tuple(_way(lines, (east, north, up), (i, stops[i]), at, spur, leg, end) for i, at, spur, leg, end in places))
    return tuple(found)


def efforts_along(lines: Lines, stops: Sequence[Stop], mine: Sequence[int]) -> Array:
    """Metres of duct that the ways of each arm and the main to the last of them take, (lines,).

    What is out of a hose's reach, and ways back beside the main, count extra.
    """
    joints = _joints(lines, stops, mine)
    places = np.array([stops[i].at for i in joints.order])
    spur, away = joints.spur, joints.away
    rise = places[:, 2] - joints.end
    beside = lines.side * (places[:, lines.along] - lines.corners[:, lines.along, None]) - joints.at - spur
    gap = np.hypot(beside, rise)
    led_beside = joints.has_leg & (gap > reach())
    gap = np.where(joints.has_leg, np.where(led_beside, np.abs(rise), gap), np.hypot(gap, spur - away))
    effort = sqrt(2) * spur + np.abs(lines.corners[:, 2, None] - joints.end) + _BACK * np.maximum(-beside - _BESIDE, 0.0)
    effort += np.where(joints.has_leg, away - spur, 0.0) + np.where(led_beside, np.abs(beside), 0.0)
    effort += _OUT_OF_REACH * np.maximum(gap - reach(), 0.0)
    total: Array = effort.sum(axis=1) + joints.at[:, -1]
    return total


@cache
def reach() -> float:
    """How far apart the ends may be that a hose of good length joins, m."""
    return longest_hose() / HOSE_SLACK


@cache
def longest_hose() -> float:
    """The longest hose that is good, m."""
    return limit(None, "long-hose", "good") - _SPARE


def _joints(lines: Lines, stops: Sequence[Stop], mine: Sequence[int]) -> _Joints:
    along, across, side = lines.along, lines.across, lines.side
    order = tuple(sorted(mine, key=lambda i: side * stops[i].at[along]))
    places = np.array([stops[i].at for i in order])
    least_spur, leg, bend = np.array([(stops[i].pipe.spur, stops[i].pipe.leg, stops[i].pipe.bend) for i in order]).T
    away = np.abs(places[:, across] - lines.corners[:, across, None])
    has_leg = away >= least_spur + leg - 1e-9
    ahead = side * (places[:, along] - lines.corners[:, along, None])
    at = space_out(ahead - np.where(has_leg, least_spur, np.maximum(away, least_spur)), lines.least, lines.apart)
    # Where its joint had to give way, a spur ends as near its stop as may be.
    spur = np.where(has_leg, least_spur, np.maximum((ahead - at + away) / 2, least_spur))
    return _Joints(order, at, spur, away, has_leg, _ends(lines.corners[:, 2, None], places[:, 2], bend))


def space_out(wanted: Array, least: Array, apart: float) -> Array:
    """Marks in the order of those wanted (lines, marks), m: the first at `least` (lines,) or beyond, so far apart, and with the least squared shifts.

    What is wanted less what must lie between is brought to rise: isotonic
    regression, each mark the greatest of the least means of the stretches it
    lies in (Barlow, Bartholomew, Bremner and Brunk, Statistical inference
    under order restrictions, 1972, the max-min formulas; from memory).
    """
    count = wanted.shape[1]
    between = np.arange(count) * apart
    rising = np.empty_like(wanted)
    at_once = max(1, _MOST_MEANS // count**2)
    for some in (slice(first, first + at_once) for first in range(0, len(wanted), at_once)):
        sums = np.cumsum(np.pad(wanted[some] - between, ((0, 0), (1, 0))), axis=1)
        first, last = np.arange(count)[:, None], np.arange(count)
        means = np.where(last >= first, (sums[:, None, 1:] - sums[:, :-1, None]) / np.maximum(last - first + 1, 1), np.inf)
        least_onward = np.minimum.accumulate(means[:, :, ::-1], axis=2)[:, :, ::-1]
        rising[some] = np.where(last >= first, least_onward, -np.inf).max(axis=1)
    found: Array = np.maximum(rising, least[:, None]) + between
    return found


def _way(lines: Lines, corner: Point, to: tuple[int, Stop], at: float, spur: float, has_leg: bool, end: float) -> Way:
    along, across, (index, stop) = lines.along, lines.across, to
    joint = shift(corner, along, lines.side * at)
    away = stop.at[across] - joint[across]
    lean = 1 if away >= 0 else -1
    points = [joint, shift(shift(joint, along, lines.side * spur), across, lean * spur)]
    if has_leg:
        points.append(shift(points[-1], across, away - lean * spur))
        beside = stop.at[along] - points[-1][along]
        if hypot(beside, stop.at[2] - end) > reach():
            points.append(shift(points[-1], along, beside))
    points.append((*points[-1][:2], end))
    return Way(index, corners(points), dist(points[-1], stop.at))


def _ends(heights: Array, ups: Array, bends: Array) -> Array:
    """How high ways from mains at `heights` end: above their ports, or below where the main is low; level where neither has room."""
    below = np.where(ups - heights <= reach(), heights, ups - HOSE_RISE)
    above = np.where(heights - (ups + HOSE_RISE) >= bends + _SPARE, ups + HOSE_RISE, heights)
    return np.where(heights < ups, below, above)


def shift(point: Point, axis: int, by: float) -> Point:
    """A point moved by so many metres along an axis: 0 east, 1 north, 2 up."""
    east, north, up = (value + by * (i == axis) for i, value in enumerate(point))
    return east, north, up
