"""Where the ducts of a first layout run in space: the ways to the machines along one or two mains.

A main runs level along an axis. Every stop has a way of its own: off the main
at 45 deg, across, down or up, and a hose's length short of its port. Points
are (east, north, up) in m; ways go outward from the collector.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from math import cos, dist, hypot, pi, sqrt

from engine.checks.rules import limit
from engine.search.layouts.route_pieces import corners
from engine.shapes.vectors import Point

# A hose hangs from this high above its port and is this much longer than the way it spans: judgement.
HOSE_RISE, HOSE_SLACK = 0.4, 1.15
# Lengths are rounded later: this much more than must be.
_SPARE = 0.02
# What a metre out of a hose's reach counts in metres of duct, and a metre back beside the main beyond the first: judgement.
_OUT_OF_REACH, _BACK, _BESIDE = 100.0, 3.0, 1.0


@dataclass(frozen=True)
class Pipe:
    """Pipe to lay a way in: its bore and the centre-line radius of its elbows, m."""

    bore: float
    bend: float

    @cached_property
    def apart(self) -> float:
        """Straight to leave between two fittings, m."""
        return max(limit("crowded-fittings", "apart"), limit("crowded-fittings", "bores") * self.bore) + _SPARE

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
        return limit("inlet-elbow", "bores") * self.bore + self.bend + _SPARE


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


@dataclass(frozen=True, slots=True)
class Line:
    """One arm's line: the axis and side (1 or -1) it goes to, the corner where it begins.

    Its first joint lies at least `least` m beyond the corner, the others
    `apart`.
    """

    along: int
    side: int
    corner: Point
    least: float
    apart: float

    @property
    def across(self) -> int:
        """The other level axis."""
        return 1 - self.along

    @property
    def direction(self) -> Point:
        """The way the arm goes."""
        return shift((0.0, 0.0, 0.0), self.along, float(self.side))


def ways_along(line: Line, stops: Sequence[Stop], mine: Sequence[int]) -> tuple[Way, ...]:
    """The ways of one arm to those of the stops that are `mine`, by index; the nearest first."""
    return tuple(_way(line, i, stops[i], at, spur) for i, at, spur in _joints(line, stops, mine))


def effort_along(line: Line, stops: Sequence[Stop], mine: Sequence[int]) -> float:
    """Metres of duct that the ways of one arm and the main to the last of them take.

    What is out of a hose's reach, and ways back beside the main, count extra.
    """
    effort, last, corner = 0.0, 0.0, line.corner
    for i, at, spur in _joints(line, stops, mine):
        stop, last = stops[i], at
        end = _end(stop, corner[2])
        away, rise = abs(stop.at[line.across] - corner[line.across]), stop.at[2] - end
        beside = line.side * (stop.at[line.along] - corner[line.along]) - at - spur
        effort += sqrt(2) * spur + abs(corner[2] - end) + _BACK * max(-beside - _BESIDE, 0.0)
        if _has_leg(stop, away):
            effort += away - spur
            gap = hypot(beside, rise)
            if gap > reach():
                effort, gap = effort + abs(beside), abs(rise)
        else:
            gap = hypot(beside, rise, spur - away)
        effort += _OUT_OF_REACH * max(gap - reach(), 0.0)
    return effort + last


@cache
def reach() -> float:
    """How far apart the ends may be that a hose of good length joins, m."""
    return longest_hose() / HOSE_SLACK


@cache
def longest_hose() -> float:
    """The longest hose that is good, m."""
    return limit("long-hose", "good") - _SPARE


def _joints(line: Line, stops: Sequence[Stop], mine: Sequence[int]) -> Iterator[tuple[int, float, float]]:
    """(stop, how far along the line its joint lies, how far across its spur leads), the nearest first."""
    order = sorted(mine, key=lambda i: line.side * stops[i].at[line.along])
    zero = line.side * line.corner[line.along]
    aways = [abs(stops[i].at[line.across] - line.corner[line.across]) for i in order]
    spurs = [stops[i].pipe.spur if _has_leg(stops[i], away) else max(away, stops[i].pipe.spur) for i, away in zip(order, aways, strict=True)]
    wanted = [line.side * stops[i].at[line.along] - zero - spur for i, spur in zip(order, spurs, strict=True)]
    for i, at, away, spur in zip(order, space_out(wanted, line.least, line.apart), aways, spurs, strict=True):
        # Where its joint had to give way, a spur ends as near its stop as may be.
        ahead = line.side * stops[i].at[line.along] - zero - at
        yield i, at, spur if _has_leg(stops[i], away) else max((ahead + away) / 2, stops[i].pipe.spur)


def space_out(wanted: Sequence[float], least: float, apart: float) -> list[float]:
    """Marks in the order of those wanted, m: the first at `least` or beyond, so far apart, and with the least sum of squared shifts.

    What is wanted less what must lie between is brought to rise by giving
    neighbours that fall their mean (pool adjacent violators, isotonic regression).
    """
    blocks: list[tuple[float, int]] = []
    for i, mark in enumerate(wanted):
        mean, count = mark - i * apart, 1
        while blocks and blocks[-1][0] > mean:
            before, many = blocks.pop()
            mean, count = (before * many + mean * count) / (many + count), many + count
        blocks.append((mean, count))
    rising = [mean for mean, count in blocks for _ in range(count)]
    return [max(mark, least) + i * apart for i, mark in enumerate(rising)]


def _way(line: Line, index: int, stop: Stop, at: float, spur: float) -> Way:
    along, across = line.along, line.across
    joint = shift(line.corner, along, line.side * at)
    away = stop.at[across] - joint[across]
    lean = 1 if away >= 0 else -1
    points = [joint, shift(shift(joint, along, line.side * spur), across, lean * spur)]
    end = _end(stop, joint[2])
    if _has_leg(stop, abs(away)):
        points.append(shift(points[-1], across, away - lean * spur))
        beside = stop.at[along] - points[-1][along]
        if hypot(beside, stop.at[2] - end) > reach():
            points.append(shift(points[-1], along, beside))
    points.append((*points[-1][:2], end))
    return Way(index, corners(points), dist(points[-1], stop.at))


def _end(stop: Stop, height: float) -> float:
    """How high a way from a main at `height` ends: above its port, or below where the main is low; level where neither has room."""
    up = stop.at[2]
    if height < up:
        return height if up - height <= reach() else up - HOSE_RISE
    end = up + HOSE_RISE
    return end if height - end >= stop.pipe.bend + _SPARE else height


def _has_leg(stop: Stop, away: float) -> bool:
    """Whether a way so far across has room for an elbow after its spur; else the spur goes all the way."""
    return away >= stop.pipe.spur + stop.pipe.leg - 1e-9


def shift(point: Point, axis: int, by: float) -> Point:
    """A point moved by so many metres along an axis: 0 east, 1 north, 2 up."""
    east, north, up = (value + by * (i == axis) for i, value in enumerate(point))
    return east, north, up
