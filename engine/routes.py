"""Where the ducts of a first layout run in space, from where machines and collector stand.

One main runs level along an axis, in one arm or, where machines stand to both
sides of the collector, in two that part at a Y. Every machine has a way of its
own: off the main at 45 deg, across, down, and a hose's length short of its
port. Points are (east, north, up) in m; ways go outward from the collector.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from math import cos, dist, hypot, pi, tan
from statistics import median

from engine.checks.rules import limit
from engine.design import DIRECTIONS
from engine.route_pieces import corners
from engine.vectors import WAYS, Point, dot, heading

# A hose hangs from this high above its port and is this much longer than the way it spans: judgement.
HOSE_RISE, _HOSE_SLACK = 0.4, 1.15
# What a corner of the main counts in metres of duct, a metre out of a hose's reach, and a metre outside the
# floor that machines and collector span, where a wall may stand: judgement.
_CORNER, _OUT_OF_REACH, _OUTSIDE = 2.0, 100.0, 5.0
# A machine no farther than this to the other side of the collector gets no arm of its own: judgement.
_BESIDE = 1.0
# Lengths are rounded later: this much more than must be.
_SPARE = 0.02


@dataclass(frozen=True, slots=True)
class Pipe:
    """Pipe to lay a way in: its bore and the centre-line radius of its elbows, m."""

    bore: float
    bend: float

    @property
    def apart(self) -> float:
        """Straight to leave between two fittings, m."""
        return max(limit("crowded-fittings", "apart"), limit("crowded-fittings", "bores") * self.bore) + _SPARE

    @property
    def spur(self) -> float:
        """How far across a spur at 45 deg leads at least, m: straight enough before an elbow of up to 90 deg."""
        return (self.apart + self.bend) * cos(pi / 4)

    @property
    def leg(self) -> float:
        """Length from the corner of an elbow of up to 90 deg to that of the next, m."""
        return 2 * self.bend + self.apart

    @property
    def lead(self) -> float:
        """Length from the collector to the corner of the first elbow, m."""
        return limit("inlet-elbow", "bores") * self.bore + self.bend + _SPARE


@dataclass(frozen=True, slots=True)
class Stop:
    """A machine to reach: where its port is and the pipe that goes there."""

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

    @property
    def hose(self) -> float:
        """Length of its hose, m, at most what is good."""
        return min(_longest_hose(), _HOSE_SLACK * self.gap)


@dataclass(frozen=True, slots=True)
class Arm:
    """The main along the line: how it gets there, its direction, and the ways that leave it, the nearest first."""

    start: tuple[Point, ...]
    direction: Point
    ways: tuple[Way, ...]


@dataclass(frozen=True, slots=True)
class Layout:
    """A main of one arm, or a trunk to a Y and two arms; `faces` is the way it leaves the collector."""

    faces: str
    trunk: tuple[Point, ...]
    arms: tuple[Arm, ...]


def layout(inlet: Point, faces: str | None, stops: Sequence[Stop], main: Pipe, height: float) -> Layout:
    """The layout of least effort for these machines, at least one, with a main at `height` or not much above.

    It runs along the axis on which machines and collector spread the more,
    and leaves the collector level where it is not told otherwise.
    """
    along = _larger_spread([inlet, *(stop.at for stop in stops)])
    sides = _sides([stop.at[along] - inlet[along] for stop in stops])
    task = _Task(inlet, tuple(stops), main, height, along, sides)
    made = (_laid(task, way, trunk) for way in ([faces] if faces else DIRECTIONS[:4]) for trunk in _trunks(task, way))
    return min(made, key=lambda found: _effort(task, found))


@dataclass(frozen=True, slots=True)
class _Task:
    """What is to be laid: along which axis, and to which of its sides, 1 or -1 or both."""

    inlet: Point
    stops: tuple[Stop, ...]
    main: Pipe
    height: float
    along: int
    sides: tuple[int, ...]

    @property
    def across(self) -> int:
        """The other level axis."""
        return 1 - self.along

    @property
    def parting(self) -> float:
        """How far before its corner the trunk parts for two arms, m."""
        return self.main.spur if len(self.sides) > 1 else 0.0

    def direction(self, side: int) -> Point:
        """The way an arm goes."""
        return tuple(float(side * (axis == self.along)) for axis in range(3))


def _larger_spread(points: Sequence[Point]) -> int:
    east, north = (max(values) - min(values) for values in ([p[axis] for p in points] for axis in (0, 1)))
    return 0 if east >= north else 1


def _sides(offsets: Sequence[float]) -> tuple[int, ...]:
    ahead, behind = max(offsets), -min(offsets)
    if min(ahead, behind) > _BESIDE:
        return (1, -1)
    return (1,) if ahead >= behind else (-1,)


# ---- from the collector to the line


def _trunks(task: _Task, faces: str) -> Iterator[tuple[Point, ...]]:
    """Every sensible way from the inlet to the corner where the main goes along its line."""
    lead = task.main.lead + task.parting
    first = tuple(at + lead * step for at, step in zip(task.inlet, WAYS[faces]))
    step = task.main.leg + task.parting
    heights = {task.height, max(task.height, first[2]), max(task.height, first[2] + step)}
    for across, up, order in product(_lines(task, first[task.across], step), heights, ((task.across, 2), (2, task.across))):
        target = {task.across: across, 2: up}
        points = [task.inlet, first]
        for axis in order:
            points.append(tuple(target[i] if i == axis else value for i, value in enumerate(points[-1])))
        trunk = corners(points)
        if _can_be_laid(task, trunk, step):
            yield trunk


def _lines(task: _Task, present: float, aside: float) -> set[float]:
    """Where the main's line may lie: straight on, aside, or so that the ways to the machines have few elbows."""
    stops = [(stop.at[task.across], stop.pipe) for stop in task.stops]
    middle, spur = median(at for at, _ in stops), max(pipe.spur for _, pipe in stops)
    beside = {at + way * (pipe.spur + pipe.leg) for at, pipe in stops for way in (1, -1)}
    return {present, present + aside, present - aside, middle + spur, middle - spur} | beside


def _can_be_laid(task: _Task, trunk: Sequence[Point], least: float) -> bool:
    """Whether it never turns back and has room for its elbows; a Y wants its last part to lie across the line."""
    parts = list(zip(trunk, trunk[1:]))
    ways = [heading(*part) for part in parts]
    if len(task.sides) == 1:
        ways.append(task.direction(task.sides[0]))
    elif abs(ways[-1][task.along]) > 0.5:
        return False
    return all(dist(*part) > least - 1e-9 for part in parts[1:]) and all(dot(a, b) > -0.5 for a, b in zip(ways, ways[1:]))


# ---- along the line


def _laid(task: _Task, faces: str, trunk: tuple[Point, ...]) -> Layout:
    corner, last = trunk[-1], heading(*trunk[-2:])
    if len(task.sides) == 1:
        (side,) = task.sides
        turns = abs(last[task.along]) < 0.5
        first = task.main.bend + task.main.apart if turns else 0.0
        arm = Arm((), task.direction(side), _ways(task, range(len(task.stops)), corner, first, side))
        return Layout(faces, trunk, (arm,))
    joint = tuple(at - task.parting * step for at, step in zip(corner, last))
    first = task.parting + task.main.bend * tan(pi / 8) + task.main.apart
    arms = []
    for side in task.sides:
        mine = [i for i, stop in enumerate(task.stops) if (stop.at[task.along] >= task.inlet[task.along]) == (side > 0)]
        onto = _moved(corner, task.along, side * task.parting)
        arms.append(Arm((joint, onto), task.direction(side), _ways(task, mine, corner, first, side)))
    return Layout(faces, (*trunk[:-1], joint), tuple(arms))


def _ways(task: _Task, mine: Sequence[int], corner: Point, least: float, side: int) -> tuple[Way, ...]:
    """The ways of one arm, whose first joint lies `least` or more beyond the corner."""
    found = []
    for i in sorted(mine, key=lambda i: side * task.stops[i].at[task.along]):
        stop = task.stops[i]
        away = abs(stop.at[task.across] - corner[task.across])
        spur = stop.pipe.spur if _has_leg(stop, away) else max(away, stop.pipe.spur)
        at = max(least, side * (stop.at[task.along] - corner[task.along]) - spur)
        found.append(_way(task, i, _moved(corner, task.along, side * at), spur, side))
        least = at + task.main.apart
    return tuple(found)


def _way(task: _Task, index: int, joint: Point, spur: float, side: int) -> Way:
    stop, along, across = task.stops[index], task.along, task.across
    away = stop.at[across] - joint[across]
    lean = 1 if away >= 0 else -1
    points = [joint, _moved(_moved(joint, along, side * spur), across, lean * spur)]
    if _has_leg(stop, abs(away)):
        points.append(_moved(points[-1], across, away - lean * spur))
        beside = stop.at[along] - points[-1][along]
        if hypot(beside, HOSE_RISE) > _reach():
            points.append(_moved(points[-1], along, beside))
    points.append((*points[-1][:2], stop.at[2] + HOSE_RISE))
    return Way(index, corners(points), dist(points[-1], stop.at))


def _has_leg(stop: Stop, away: float) -> bool:
    """Whether a way so far across has room for an elbow after its spur; else the spur goes all the way."""
    return away >= stop.pipe.spur + stop.pipe.leg - 1e-9


def _longest_hose() -> float:
    return limit("long-hose", "good") - _SPARE


def _reach() -> float:
    return _longest_hose() / _HOSE_SLACK


def _effort(task: _Task, found: Layout) -> float:
    """Metres of duct; corners and what had better not be counted as metres too."""
    outside = sum(_outside(task, point) for point in found.trunk)
    effort = _CORNER * (len(found.trunk) - 2) + _length(found.trunk) + _OUTSIDE * outside
    for arm in found.arms:
        effort += _length([*(arm.start or found.trunk)[-1:], arm.ways[-1].joint])
        effort += sum(_length(way.points) + _OUT_OF_REACH * max(way.gap - _reach(), 0.0) for way in arm.ways)
    return effort


def _outside(task: _Task, point: Point) -> float:
    """How far a point lies outside the floor that machines and collector span, m."""
    known = [task.inlet, *(stop.at for stop in task.stops)]
    spans = ((min(p[axis] for p in known), max(p[axis] for p in known)) for axis in (0, 1))
    return sum(max(low - at, at - high, 0.0) for at, (low, high) in zip(point, spans))


def _length(points: Sequence[Point]) -> float:
    return sum(dist(a, b) for a, b in zip(points, points[1:]))


def _moved(point: Point, axis: int, by: float) -> Point:
    return tuple(value + by * (i == axis) for i, value in enumerate(point))
