"""From the collector to the line: where a main may lie, and every sensible trunk that leads there.

Points are (east, north, up) in m.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import permutations
from statistics import median

from engine.search.layouts.routes import Pipe, Stop
from engine.shapes.vectors import WAYS, Point, moved
from engine.space.room import Room

# A main along a wall is laid this far off it; a low one lies this high off the floor and below every port, m: judgement.
_OFF_WALL, _OFF_FLOOR, _BELOW_PORTS = 0.15, 0.05, 0.3
# Lines nearer to each other than this are one, m.
_SAME_LINE = 0.25
_NOTHING = 1e-6


@dataclass(frozen=True)
class Task:
    """What is to be laid, to at least one stop.

    `height` is that of a main over heads, m; `faces` is the way the inlet
    looks, one of DIRECTIONS, None where that is free.
    """

    inlet: Point
    faces: str | None
    stops: tuple[Stop, ...]
    main: Pipe
    height: float
    room: Room

    @cached_property
    def most(self) -> float:
        """How high a main may run, m."""
        return self.room.ceiling - self.main.bore / 2 - _OFF_FLOOR

    @cached_property
    def usual(self) -> float:
        """How high a main runs: over heads, where the ceiling lets it."""
        return min(self.height, self.most)

    @cached_property
    def low(self) -> float | None:
        """How high a main under the benches runs, None where a port is too low for one."""
        height = self.main.bore / 2 + _OFF_FLOOR
        return height if all(stop.at[2] >= height + _BELOW_PORTS for stop in self.stops) else None

    def heights(self, first: float, step: float) -> set[float]:
        """How high the main may run, m, that has its first corner at `first` m; two corners lie `step` m apart or more."""
        found = {self.usual, *(height for height in (first, max(self.height, first + step)) if height <= self.most)}
        if not any(abs(height - first) < _NOTHING or abs(height - first) >= step for height in found):
            found.add(first)  # under the ceiling nothing can be laid
        return found | ({self.low} if self.low else set())

    @cached_property
    def spans(self) -> tuple[tuple[float, float], ...]:
        """From where to where the stops stand along either level axis, m."""
        by_axis = ([stop.at[axis] for stop in self.stops] for axis in (0, 1))
        return tuple((min(values), max(values)) for values in by_axis)

    @cached_property
    def walls(self) -> tuple[tuple[tuple[float, int], ...], ...]:
        """The walls along either level axis beside at least half the machines' span: see `_walls`."""
        return tuple(tuple(_walls(self.room, along, self.spans[along])) for along in (0, 1))


def _walls(room: Room, along: int, span: tuple[float, float]) -> Iterator[tuple[float, int]]:
    """Where walls lie that run along an axis beside a span of it, across it, and to which side of each the room is."""
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


def lines(task: Task, along: int) -> list[float]:
    """How far across, m, a main along an axis (0 or 1) may lie: so that ways to the machines have few elbows, along a wall, past a zone."""
    across, pipe = 1 - along, task.main
    stops = [(stop.at[across], stop.pipe) for stop in task.stops]
    middle, spur = median(at for at, _ in stops), max(pipe.spur for _, pipe in stops)
    off = _OFF_WALL + pipe.bore / 2
    wanted = [middle + spur, middle - spur]
    wanted += [wall + inward * off for wall, inward in task.walls[along]]
    wanted += [side for _, box in task.room.obstacles for side in (box.low[across] - off, box.high[across] + off)]
    wanted += [at + way * (pipe.spur + pipe.leg) for at, pipe in stops for way in (1, -1)]
    kept: list[float] = []
    for at in wanted:
        if all(abs(at - other) > _SAME_LINE for other in kept):
            kept.append(at)
    return kept


# ---- from the collector to the line


@dataclass(frozen=True, slots=True)
class Start:
    """How a main sets out: the way it leaves the collector, the axis of its line (0 or 1), and the sides (1, -1) its arms go to."""

    faces: str
    along: int
    sides: tuple[int, ...]

    @property
    def parts(self) -> bool:
        """Whether it parts at a Y."""
        return len(self.sides) > 1

    @property
    def axis(self) -> int:
        """The axis along which it leaves the collector."""
        return next(axis for axis in range(3) if WAYS[self.faces][axis])


@dataclass(frozen=True, slots=True)
class Trunk:
    """The way from the inlet to the corner where the main goes along its line, and whether it turns there."""

    points: tuple[Point, ...]
    turns: bool

    @property
    def corner(self) -> Point:
        """Where the line begins."""
        return self.points[-1]


def trunks(task: Task, start: Start, lines: Sequence[float]) -> Iterator[Trunk]:
    """Every sensible trunk to one of these lines, given by how far they lie across, m; or to one near the inlet."""
    parting = task.main.spur if start.parts else 0.0
    step = task.main.leg + parting
    first = moved(task.inlet, WAYS[start.faces], task.main.lead + parting)
    along, across = start.along, 1 - start.along
    here = first[across]
    for line in (here, here + step, here - step, *lines):
        for height in task.heights(first[2], step):
            for corner in _corners(task, start, first):
                target = (corner, line, height) if along == 0 else (line, corner, height)
                moves = [axis for axis in (along, across, 2) if abs(target[axis] - first[axis]) > _NOTHING]
                if any(abs(target[axis] - first[axis]) < step - _NOTHING for axis in moves):
                    continue
                for order in permutations(moves):
                    if _can_be_laid(start, first, target, order):
                        last = order[-1] if order else start.axis
                        yield Trunk(_points(task.inlet, first, target, order), last != along)


def _corners(task: Task, start: Start, first: Point) -> list[float]:
    """Where along its line the main may begin: where the collector stands, before the first machine; a Y in the middle."""
    along = start.along
    stops = sorted(stop.at[along] for stop in task.stops)
    if start.parts:
        middle = (len(stops) - 1) // 2
        near = zip(stops[max(middle - 1, 0) : middle + 2], stops[max(middle, 1) :], strict=False)
        return [first[along], *((low + high) / 2 for low, high in near if high - low > _SAME_LINE)]
    [side] = start.sides
    run_up = task.main.bend + task.main.apart + max(stop.pipe.spur for stop in task.stops)
    before = min(side * at for at in stops) - run_up
    if task.room.corners:
        # No farther than the wall behind the first machine lets it.
        walls = [side * corner[along] for corner in task.room.corners]
        before = max(before, min(walls) + _OFF_WALL + task.main.bore / 2)
    return [first[along]] if before >= side * first[along] else [first[along], side * before]


def _can_be_laid(start: Start, first: Point, target: Point, order: Sequence[int]) -> bool:
    """Whether it never turns back; a Y wants its last part to lie across the line, one main never comes from ahead."""
    last, way = start.axis, WAYS[start.faces][start.axis]
    if order:
        onward = 1 if target[order[0]] > first[order[0]] else -1
        if order[0] == last and onward != way:
            return False
        last, way = order[-1], 1 if target[order[-1]] > first[order[-1]] else -1
    return last != start.along or (not start.parts and way == start.sides[0])


def _points(inlet: Point, first: Point, target: Point, order: Sequence[int]) -> tuple[Point, ...]:
    """From the inlet to the first corner, unless the way goes straight on there, then axis after axis to the target."""
    points, now = [inlet], first
    straight_on = order and abs(inlet[order[0]] - first[order[0]]) > _NOTHING
    if not straight_on:
        points.append(first)
    for axis in order:
        east, north, up = (target[i] if i == axis else at for i, at in enumerate(now))
        now = (east, north, up)
        points.append(now)
    return tuple(points)
