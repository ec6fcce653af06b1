"""Where the ducts of a layout run in space: the ways to the machines along a main.

A main runs level along a line, and may turn into another at a corner of the
room. Every stop has a way of its own: off the main at 45 deg, across, down or
up, and a hose's length short of its port. Points are (east, north, up) in m;
ways go outward from the collector.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from math import dist, hypot, inf, sqrt

from engine.search.layouts.sizes.pipes import Pipe, Stop
from engine.search.layouts.ways.route_pieces import corners
from engine.shapes.clearance import NEAR
from engine.shapes.vectors import Point
from engine.values import dataclass

# A hose hangs from this high above its port and is this much longer than the way it spans: judgement.
HOSE_RISE, HOSE_SLACK = 0.4, 1.15
# What a metre back along the main counts in metres of duct: judgement.
BACK = 3.0
# What a corner of the main counts in metres of duct: judgement.
CORNER = 2.0
# A straight of less than this before a hose is not worth its joint, m: judgement.
WORTH_PIPE = 0.1


@dataclass(frozen=True, slots=True)
class Way:
    """From a joint of the main to near the stop of index `stop`; a hose has `gap` m to span.

    `main` is the way the main goes there, `corners` are those it turns at
    since the joint before. The last way may be the main's end: it goes
    `straight` on from the joint before.
    """

    stop: int
    points: tuple[Point, ...]
    gap: float
    main: Point
    straight: bool = False
    corners: tuple[Point, ...] = ()

    @property
    def joint(self) -> Point:
        """Where it leaves the main."""
        return self.points[0]


@dataclass(frozen=True, slots=True)
class Arm:
    """One main: how it gets to its line, the direction in which it sets out, and the ways that leave it, the nearest first."""

    start: tuple[Point, ...]
    direction: Point
    ways: tuple[Way, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """A level line that a main follows: the axis and side (1 or -1) it goes to, the corner where it begins.

    Its joints lie at least `least` and at most `most` m beyond the corner and
    `apart` from each other; `onward` is the line it turns into.
    """

    along: int
    side: int
    corner: Point
    least: float
    apart: float
    most: float = inf
    onward: Line | None = None

    @property
    def across(self) -> int:
        """The other level axis."""
        return 1 - self.along

    @property
    def direction(self) -> Point:
        """The way the main goes."""
        return shift((0.0, 0.0, 0.0), self.along, float(self.side))

    def mark(self, point: Point) -> float:
        """How far along the line a point lies, m beyond its corner."""
        return self.side * (point[self.along] - self.corner[self.along])

    def away(self, point: Point) -> float:
        """How far beside the line a point lies, m."""
        return abs(point[self.across] - self.corner[self.across])


def ways_along(line: Line, stops: Sequence[Stop], mine: Sequence[int]) -> tuple[Way, ...]:
    """The ways of one main to those of the stops that are `mine`, by index; the nearest first."""
    here, beyond = _shared_out(line, stops, mine)
    if line.onward is not None and beyond:
        first, *others = ways_along(line.onward, stops, beyond)
        return (*_branches(line, stops, here), replace(first, corners=(line.onward.corner, *first.corners)), *others)
    *before, last = sorted(here, key=lambda i: line.mark(stops[i].at))
    ways = _branches(line, stops, before)
    end = _end_way(line, last, stops[last], line.mark(ways[-1].joint) if ways else None)
    return (*ways, end) if end else _branches(line, stops, here)


def length_of(points: Sequence[Point]) -> float:
    """Length of a way from corner to corner, m."""
    return sum(dist(a, b) for a, b in pairwise(points))


def _shared_out(line: Line, stops: Sequence[Stop], mine: Sequence[int]) -> tuple[list[int], list[int]]:
    """Which stops branch off this line, and which beyond its end: each where its way is shorter."""
    here: list[int] = []
    beyond: list[int] = []
    for i in mine:
        (here if _toward(line, stops[i]) <= _toward_onward(line.onward, stops[i]) else beyond).append(i)
    return here, beyond


def _toward(line: Line, stop: Stop) -> float:
    """About how much duct leads from a line to a stop, m."""
    wanted = line.mark(stop.at) - stop.spur
    return line.away(stop.at) + BACK * (max(line.least - wanted, 0.0) + max(wanted - line.most, 0.0))


def _toward_onward(line: Line | None, stop: Stop) -> float:
    return inf if line is None else min(_toward(line, stop), _toward_onward(line.onward, stop))


# How long a hose may span where the pipe could as well end nearer, and where other ports hang on the drop, m: judgement.
NEAR_FOOT = HOSE_RISE + 0.2
# How far beside a machine a drop comes down, m, and the share of its reach that a hose spans there at most: judgement.
BESIDE_BODY, NEARLY = 0.05, 0.95


def reach_of(pipe: Pipe) -> float:
    """How far apart the ends may be that a hose of good length joins, m."""
    return pipe.wants.hose / HOSE_SLACK


def _beside(line: Line, stop: Stop) -> Stop:
    """The stop as a line sees it: where its drop would come down through its machine, beside that, on the line's side, if a hose reaches."""
    if stop.body is None:
        return stop
    axis, off = line.across, BESIDE_BODY + stop.pipe.bore / 2
    low, high, here, most = stop.body.low[axis] - off, stop.body.high[axis] + off, line.corner[axis], NEARLY * reach_of(stop.pipe)
    by = (low if here <= low else high) - stop.at[axis]
    if low < here < high or abs(by) > most:
        return stop
    rise = min(HOSE_RISE, sqrt(most**2 - by**2))
    at = shift(shift(stop.at, axis, by), 2, rise - HOSE_RISE)
    return replace(stop, at=at, port=stop.at, reach=max(stop.reach, most), body=None)


def _branches(line: Line, stops: Sequence[Stop], mine: Sequence[int]) -> tuple[Way, ...]:
    aimed = {i: _beside(line, stops[i]) for i in mine}
    return tuple(_way(line, i, aimed[i], at, spur) for i, at, spur in _joints(line, aimed))


def _end_way(line: Line, index: int, stop: Stop, last: float | None) -> Way | None:
    """The end of a main, from its last joint so far along its line: on to its stop, across and down; None where elbows have no room."""
    stop = _beside(line, stop)
    first = (line.least if last is None else last + line.apart) + stop.pipe.bend
    wanted, away = line.mark(stop.at), line.away(stop.at)
    at = max(wanted, first)
    corner, end = shift(line.corner, line.along, line.side * at), _end(stop, line.corner[2])
    points = [shift(line.corner, line.along, line.side * (last or 0.0)), corner]
    if away >= stop.pipe.leg:
        points.append(shift(corner, line.across, stop.at[line.across] - corner[line.across]))
    points.append((*points[-1][:2], end))
    gap, most = dist(points[-1], stop.port or stop.at), stop.reach if stop.port else NEAR_FOOT
    return Way(index, corners(points), gap, line.direction, straight=True) if gap <= most + NEAR and at <= line.most else None


def _joints(line: Line, stops: Mapping[int, Stop]) -> Iterator[tuple[int, float, float]]:
    """(stop, how far along the line its joint lies, how far across its spur leads), the nearest first."""
    order = sorted(stops, key=lambda i: line.mark(stops[i].at))
    aways = [line.away(stops[i].at) for i in order]
    spurs = [stops[i].spur if _has_leg(stops[i], away) else max(away, stops[i].spur) for i, away in zip(order, aways, strict=True)]
    wanted = [line.mark(stops[i].at) - spur for i, spur in zip(order, spurs, strict=True)]
    marks = space_out(wanted, line.least, line.apart)
    marks = [min(mark, line.most - (len(marks) - 1 - place) * line.apart) for place, mark in enumerate(marks)]
    for i, at, away in zip(order, marks, aways, strict=True):
        # Where its joint had to give way, a spur ends as near its stop as may be.
        ahead, stop = line.mark(stops[i].at) - at, stops[i]
        yield i, at, max(min(ahead, away - stop.pipe.leg) if _has_leg(stop, away) else (ahead + away) / 2, stop.spur)


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
        if hypot(beside, stop.at[2] - end) > stop.reach and abs(beside) >= stop.pipe.leg:
            points.append(shift(points[-1], along, beside))
    points.append((*points[-1][:2], end))
    return Way(index, corners(points), dist(points[-1], stop.port or stop.at), line.direction)


def _end(stop: Stop, height: float) -> float:
    """How high a way from a main at `height` ends: above its port, or below where the main is low; level where neither has room."""
    up = stop.at[2]
    if height < up:
        return height if up - height <= reach_of(stop.pipe) else up - HOSE_RISE
    end = up + HOSE_RISE
    return end if height - end >= stop.pipe.bend + stop.drop else height


def _has_leg(stop: Stop, away: float) -> bool:
    """Whether a way so far across has room for an elbow after its spur; else the spur goes all the way."""
    return away >= stop.spur + stop.pipe.leg - NEAR


def shift(point: Point, axis: int, by: float) -> Point:
    """A point moved by so many metres along an axis: 0 east, 1 north, 2 up."""
    east, north, up = (value + by * (i == axis) for i, value in enumerate(point))
    return east, north, up
