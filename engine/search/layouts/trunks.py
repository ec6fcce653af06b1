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
from engine.shapes.vectors import WAYS, Point
from engine.space.room import Room

# A main along a wall is laid this far off it; a low one lies this high off the floor and below every port, m: judgement.
_OFF_WALL, _OFF_FLOOR, _BELOW_PORTS = 0.15, 0.05, 0.3
# Lines nearer to each other than this are one, m.
_SAME_LINE = 0.25
_NOTHING = 1e-6


@dataclass(frozen=True)
class Task:
    """What is to be laid, at least one stop; `height` is that of a main over heads, `faces` None where free."""

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
        """How high the main may run that has its first corner at `first` m."""
        found = {self.usual, *(height for height in (first, max(self.height, first + step)) if height <= self.most)}
        if not any(abs(height - first) < _NOTHING or abs(height - first) >= step for height in found):
            found.add(first)  # under the ceiling nothing can be laid
        return found | ({self.low} if self.low else set())

    @cached_property
    def spans(self) -> tuple[tuple[float, float], ...]:
        """From where to where the stops stand along either level axis."""
        return tuple((min(values), max(values)) for values in ([stop.at[axis] for stop in self.stops] for axis in (0, 1)))

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
                just_off = tuple((a[axis] + b[axis]) / 2 + inward * 0.01 * (axis == across) for axis in (0, 1))
                if room.holds(just_off):
                    yield a[across], inward


def lines(task: Task, along: int) -> list[float]:
    """Where the main's line may lie: so that the ways to the machines have few elbows, along a wall, past a zone."""
    across, pipe = 1 - along, task.main
    stops = [(stop.at[across], stop.pipe) for stop in task.stops]
    middle, spur = median(at for at, _ in stops), max(pipe.spur for _, pipe in stops)
    off = _OFF_WALL + pipe.bore / 2
    wanted = [middle + spur, middle - spur]
    wanted += [wall + inward * off for wall, inward in task.walls[along]]
    wanted += [side for box in task.room.boxes for side in (box.low[across] - off, box.high[across] + off)]
    wanted += [at + way * (pipe.spur + pipe.leg) for at, pipe in stops for way in (1, -1)]
    kept: list[float] = []
    for at in wanted:
        if all(abs(at - other) > _SAME_LINE for other in kept):
            kept.append(at)
    return kept


# ---- from the collector to the line


def trunks(task: Task, faces: str, along: int, sides: tuple[int, ...], lines: Sequence[float]) -> Iterator[tuple[tuple[Point, ...], bool]]:
    """Every sensible way from the inlet to the corner where the main goes along its line, and whether it turns there."""
    parting = task.main.spur if len(sides) > 1 else 0.0
    step = task.main.leg + parting
    first = tuple(at + (task.main.lead + parting) * way for at, way in zip(task.inlet, WAYS[faces]))
    across = 1 - along
    here = first[across]
    for line in (here, here + step, here - step, *lines):
        for height in task.heights(first[2], step):
            for corner in _corners(task, along, sides, first):
                target = {across: line, 2: height, along: corner}
                moves = [axis for axis in (along, across, 2) if abs(target[axis] - first[axis]) > _NOTHING]
                if any(abs(target[axis] - first[axis]) < step - _NOTHING for axis in moves):
                    continue
                for order in permutations(moves):
                    if _can_be_laid(faces, along, sides, first, target, order):
                        last = order[-1] if order else _axis(faces)
                        yield _walked(task.inlet, first, target, order), last != along


def _corners(task: Task, along: int, sides: tuple[int, ...], first: Point) -> list[float]:
    """Where along its line the main may begin: where the collector stands, before the first machine; a Y in the middle."""
    stops = sorted(stop.at[along] for stop in task.stops)
    if len(sides) > 1:
        middle = (len(stops) - 1) // 2
        near = zip(stops[max(middle - 1, 0) : middle + 2], stops[max(middle, 1) :])
        return [first[along], *((low + high) / 2 for low, high in near if high - low > _SAME_LINE)]
    [side] = sides
    start = task.main.bend + task.main.apart + max(stop.pipe.spur for stop in task.stops)
    before = min(side * at for at in stops) - start
    if task.room.corners:
        # No farther than the wall behind the first machine lets it.
        walls = [side * corner[along] for corner in task.room.corners]
        before = max(before, min(walls) + _OFF_WALL + task.main.bore / 2)
    return [first[along]] if before >= side * first[along] else [first[along], side * before]


def _axis(faces: str) -> int:
    return next(axis for axis in range(3) if WAYS[faces][axis])


def _can_be_laid(faces: str, along: int, sides: tuple[int, ...], first: Point, target: dict[int, float], order: Sequence[int]) -> bool:
    """Whether it never turns back; a Y wants its last part to lie across the line, one main never comes from ahead."""
    if order:
        onward = 1 if target[order[0]] > first[order[0]] else -1
        if order[0] == _axis(faces) and onward != WAYS[faces][order[0]]:
            return False
        last, way = order[-1], 1 if target[order[-1]] > first[order[-1]] else -1
    else:
        last = _axis(faces)
        way = WAYS[faces][last]
    return last != along or (len(sides) == 1 and way == sides[0])


def _walked(inlet: Point, first: Point, target: dict[int, float], order: Sequence[int]) -> tuple[Point, ...]:
    points, now = [inlet], list(first)
    straight_on = order and abs(inlet[order[0]] - first[order[0]]) > _NOTHING
    if not straight_on:
        points.append(first)
    for axis in order:
        now[axis] = target[axis]
        points.append(tuple(now))
    return tuple(points)
