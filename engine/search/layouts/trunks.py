"""From the collector to the line: where a main may lie, and every sensible trunk that leads there.

Points are (east, north, up) in m.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import permutations, product
from statistics import median

import numpy as np

from engine.search.layouts.routes import Pipe, Stop
from engine.shapes.many import Array, Bools, Positions
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
    """The way from the inlet to the corner where the main goes along its line."""

    start: Start
    points: tuple[Point, ...]

    @property
    def corner(self) -> Point:
        """Where the line begins."""
        return self.points[-1]


@dataclass(frozen=True, slots=True, eq=False)
class Trunks:
    """Every sensible trunk of some starts, a row each: its start's index, its corner (trunks, 3), the order in which it goes along axes.

    `length` and `turns` are what it measures, m, and how often it turns before
    its corner; `bends` whether it turns there; `strayed` is how far its
    corners lie outside the floor that machines and collector span, m added
    up, 0 where walls are known.
    """

    task: Task
    starts: tuple[Start, ...]
    start: Positions
    corner: Array
    order: Positions
    length: Array
    turns: Positions
    bends: Bools
    strayed: Array

    def trunk(self, row: int) -> Trunk:
        """One of them, corner by corner."""
        start = self.starts[self.start[row]]
        east, north, up = self.corner[row].tolist()
        order = [_axes(start)[axis] for axis in _ORDERS[self.order[row]]]
        return Trunk(start, _points(self.task.inlet, _first_corner(self.task, start), (east, north, up), order))


# In which orders a way can go along its line, across it and up or down.
_ORDERS = tuple(order for moves in range(4) for order in permutations(range(3), moves))


def trunks(task: Task, starts: Sequence[Start], *, low: bool) -> Trunks:
    """Every sensible trunk to one of the lines of these starts, or to one near the inlet; `low` whether they may lie under the benches."""
    beside = [lines(task, along) for along in (0, 1)]
    targets = [_targets(task, start, beside[start.along], low=low) for start in starts]
    start = np.repeat(np.arange(len(starts)), [len(some) for some in targets])
    target = np.concatenate(targets)
    axes = np.array([_axes(one) for one in starts])[start]
    first = np.array([_first_corner(task, one) for one in starts])[start]
    leaves = np.array([_axes(one).index(one.axis) for one in starts])[start]
    onward = np.array([WAYS[one.faces][one.axis] for one in starts])[start]
    side = np.array([0 if one.parts else one.sides[0] for one in starts])[start]
    step = np.array([_step(task, one) for one in starts])[start]
    way = np.take_along_axis(target - first, axes, axis=1)
    moves = np.abs(way) > _NOTHING
    wide_enough = (~moves | (np.abs(way) >= step[:, None] - _NOTHING)).all(axis=1)
    rows, orders, turns, bends = [], [], [], []
    for index, order in enumerate(_ORDERS):
        # It never turns back; a Y wants its last part to lie across the line, one main never comes from ahead.
        good = wide_enough & (moves == [axis in order for axis in range(3)]).all(axis=1)
        last, heads = leaves, onward
        straight_on = np.zeros(len(start), bool)
        if order:
            straight_on = leaves == order[0]
            good &= ~straight_on | (way[:, order[0]] * onward > 0)
            last, heads = np.full(len(start), order[-1]), np.sign(way[:, order[-1]])
        good &= (last != 0) | (heads == side)
        found = np.flatnonzero(good)
        rows.append(found)
        orders.append(np.full(len(found), index))
        turns.append(np.where(straight_on[found], len(order) - 1, len(order)))
        bends.append(last[found] != 0)
    row = np.concatenate(rows)
    # In the order of starts and targets, not of orders: of equals the first counts.
    by_row = np.argsort(row, kind="stable")
    row, way_order, turned, bent = (np.concatenate(some)[by_row] for some in (rows, orders, turns, bends))
    out = np.linalg.norm(first - task.inlet, axis=1)
    return Trunks(
        task, tuple(starts), start=start[row], corner=target[row], order=way_order,
        length=(out + np.abs(way).sum(axis=1))[row], turns=turned, bends=bent,
        strayed=_strayed(task, first[row], target[row], axes[row], way_order, turned),
    )  # fmt: skip


def _axes(start: Start) -> tuple[int, int, int]:
    """The axes along a start's line, across it and upright."""
    return start.along, 1 - start.along, 2


def _parting(task: Task, start: Start) -> float:
    """How much of a trunk's last part its Y takes, m."""
    return task.main.spur if start.parts else 0.0


def _step(task: Task, start: Start) -> float:
    """How far apart two corners lie at least, m."""
    return task.main.leg + _parting(task, start)


def _first_corner(task: Task, start: Start) -> Point:
    return moved(task.inlet, WAYS[start.faces], task.main.lead + _parting(task, start))


def _targets(task: Task, start: Start, beside: Sequence[float], *, low: bool) -> Array:
    """Where the line may begin, (targets, 3)."""
    first, step = _first_corner(task, start), _step(task, start)
    here = first[1 - start.along]
    heights = sorted(height for height in task.heights(first[2], step) if low or height != task.low)
    spots = product((here, here + step, here - step, *beside), heights, _corners(task, start, first))
    return np.array([(at, line, height) if start.along == 0 else (line, at, height) for line, height, at in spots]).reshape(-1, 3)


def _strayed(task: Task, first: Array, target: Array, axes: Positions, order: Positions, turns: Positions) -> Array:
    """How far the corners of ways stray, m: from their first corners to their targets, axis after axis."""
    strayed = np.zeros(len(order))
    if task.room.corners:
        return strayed
    spans = [(min(low, at), max(high, at)) for (low, high), at in zip(task.spans, task.inlet, strict=False)]
    for index, moves in enumerate(_ORDERS):
        rows = np.flatnonzero(order == index)
        now = first[rows].copy()
        # A way that goes straight on has no corner where it begins.
        counts = turns[rows] == len(moves)
        for axis in (None, *moves):
            if axis is not None:
                along = axes[rows, axis]
                now[np.arange(len(rows)), along], counts = target[rows, along], np.ones(len(rows), bool)
            for level, (low, high) in enumerate(spans):
                strayed[rows] += counts * np.maximum(np.maximum(low - now[:, level], now[:, level] - high), 0.0)
    return strayed


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


def _points(inlet: Point, first: Point, target: Point, order: Sequence[int]) -> tuple[Point, ...]:
    """From the inlet to the first corner, unless the way goes straight on there, then axis after axis to the target."""
    points, now = [inlet], first
    straight_on = bool(order) and abs(inlet[order[0]] - first[order[0]]) > _NOTHING
    if not straight_on:
        points.append(first)
    for axis in order:
        east, north, up = (target[i] if i == axis else at for i, at in enumerate(now))
        now = (east, north, up)
        points.append(now)
    return tuple(points)
