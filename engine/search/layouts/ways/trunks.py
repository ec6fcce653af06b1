"""From the collector to the line: where a main may lie, and every sensible trunk that leads there, over arrays.

Points are (east, north, up) in m.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from itertools import permutations
from statistics import median
from typing import NamedTuple

import numpy as np

from engine.search.layouts.task import OFF_WALL, Task
from engine.shapes.many import Array, Bools, Positions
from engine.shapes.vectors import WAYS, Point, moved
from engine.values import dataclass

# Lines nearer to each other than this are one, m.
_SAME_LINE = 0.25
_NOTHING = 1e-6


def lines(task: Task, along: int, *, few: bool = False) -> list[float]:
    """How far across, m, a main along an axis (0 or 1) may lie: amid machines, along walls; unless `few`, past zones and beside each machine."""
    across, pipe = 1 - along, task.main
    stops = [(stop.at[across], stop) for stop in task.stops]
    middle, spur = median(at for at, _ in stops), max(stop.spur for stop in task.stops)
    off = OFF_WALL + pipe.bore / 2
    wanted = [middle + spur, middle - spur]
    wanted += [task.off_wall(wall) for wall in task.walls[along]]
    if few:
        return wanted
    wanted += [side for _, box in task.room.obstacles for side in (box.low[across] - off, box.high[across] + off)]
    wanted += [at + way * (stop.spur + stop.pipe.leg) for at, stop in stops for way in (1, -1)]
    kept: list[float] = []
    for at in wanted:
        if all(abs(at - other) > _SAME_LINE for other in kept):
            kept.append(at)
    return kept


# ---- from the collector to the line


@dataclass(frozen=True)
class Start:
    """How a main sets out: the way it leaves the collector, the axis of its line (0 or 1), and the sides (1, -1) its arms go to."""

    faces: str
    along: int
    sides: tuple[int, ...]

    @cached_property
    def parts(self) -> bool:
        """Whether it parts at a Y."""
        return len(self.sides) > 1

    @cached_property
    def axis(self) -> int:
        """The axis along which it leaves the collector."""
        return next(axis for axis in range(3) if WAYS[self.faces][axis])

    @cached_property
    def told(self) -> tuple[int, int, float, int]:
        """The axes of line and heading, the way along that, and the side of its only arm, 0 for two."""
        return self.along, self.axis, WAYS[self.faces][self.axis], 0 if self.parts else self.sides[0]


class Aim(NamedTuple):
    """A trunk before its way is known: how its main sets out; from the inlet to where it may first turn; the corner where the line begins.

    A Y there wants `parting` m of straight before it; where the `entry` ends with that, nothing need come between.
    """

    start: Start
    entry: tuple[Point, ...]
    corner: Point
    parting: float
    ready: bool


def aims(task: Task, start: Start, lines: Sequence[float]) -> Iterator[Aim]:
    """Every corner that a trunk may lead to, on one of these lines, given by how far they lie across, m, or on one near the inlet."""
    along, across, leg = start.along, 1 - start.along, task.main.leg
    parting = task.main.spur if start.parts else 0.0
    for more in {0.0, parting}:
        for entry, height in _entries(task, start, more):
            here, begins = entry[-1][across], _corners(task, start, entry[-1])
            for line in (here, here + leg + parting, here - leg - parting, *lines):
                for corner in begins:
                    yield Aim(start, entry, (corner, line, height) if along == 0 else (line, corner, height), parting, more >= parting)


@dataclass(frozen=True)
class Trunks:
    """Ways to aims: which of them each leads `to`, (trunks,), and its points, (trunks, points, 3), those before the entry's as often as fit.

    `last` is the axis along which it comes to the corner, (trunks,).
    """

    to: Positions
    points: Array
    last: Positions

    @cached_property
    def moves(self) -> Array:
        """How far from each point to the next, (trunks, points - 1): nothing between those that are the same."""
        metres: Array = np.linalg.norm(np.diff(self.points, axis=1), axis=2)
        return metres

    def trunk(self, row: int) -> tuple[Point, ...]:
        """One of them, from the inlet to the corner."""
        return tuple(dict.fromkeys((east, north, up) for east, north, up in self.points[row].tolist()))


# Most points of an entry, and the orders in which what is left can be gone along its axes.
_ENTRY, _ORDERS = 4, np.array(list(permutations(range(3))))


def trunks(task: Task, found: Sequence[Aim]) -> Trunks:
    """Every sensible trunk to at least one aim: axis after axis from its entry.

    Corners are as far apart as elbows want, and a Y wants a straight before
    it. It never turns back; a Y wants its last part to lie across the line,
    one main never comes from ahead.
    """
    entry = np.array([(one.entry[0],) * (_ENTRY - len(one.entry)) + one.entry for one in found])
    target, parting, ready = np.array([one.corner for one in found]), np.array([one.parting for one in found]), np.array([one.ready for one in found])
    along, axis, way, side = np.array([one.start.told for one in found], int).T[..., None]  # each (aims, 1), so that orders go beside
    first, row = entry[:, -1], np.arange(len(found))[:, None]
    by, onward = np.abs(target - first), np.where(target > first, 1, -1)
    axes = np.concatenate([along, 1 - along, np.full_like(along, 2)], axis=1)[:, _ORDERS]
    moving = by > _NOTHING
    goes = moving[row[..., None], axes]
    steps = goes.sum(axis=2)
    # What does not move stands last, in one order.
    once = np.all(np.where(goes[..., :-1], True, ~goes[..., 1:] & (_ORDERS[:, :-1] < _ORDERS[:, 1:])), axis=2)
    last = np.where(steps > 0, np.take_along_axis(axes, np.maximum(steps - 1, 0)[..., None], axis=2)[..., 0], axis)
    arrives = np.where(steps > 0, onward[row, last], way)
    wanted = task.main.leg + np.where(np.arange(3) == last[..., None], parting[:, None, None], 0.0)
    fits = once & np.all(~moving[:, None] | (by[:, None] >= wanted - _NOTHING), axis=2) & ((steps > 0) | ready[:, None])
    fits &= (steps == 0) | (axes[..., 0] != axis) | (onward[row, axes[..., 0]] == way)
    fits &= (last != along) | ((side != 0) & (arrives == side))
    to, order = np.nonzero(fits)
    return Trunks(to, _points(entry[to], target[to], axes[to, order], goes[to, order], axis[to, 0]), last[to, order])


def _points(entry: Array, target: Array, axes: Positions, goes: Bools, axis: Positions) -> Array:
    """From the inlet over the first corner to the target, axis after axis, (trunks, points, 3): where nothing turns, the point before once more."""
    row, now = np.arange(len(entry)), entry[:, -1]
    # Where it goes straight on, it does not turn at the end of its entry.
    straight = goes[:, 0] & (axes[:, 0] == axis)
    points = [*entry[:, :-1].transpose(1, 0, 2), np.where(straight[:, None], entry[:, -2], now)]
    for step in range(3):
        now = now.copy()
        now[row, axes[:, step]] = target[row, axes[:, step]]
        points.append(np.where(goes[:, step, None], now, points[-1]))
    return np.stack(points, axis=1)


def _entries(task: Task, start: Start, more: float) -> list[tuple[tuple[Point, ...], float]]:
    """From the inlet to where the main may first turn, and how high it runs then, m; `more` straight than its inlet wants.

    A riser between two elbows where there is room for one; else a slant to the
    height wanted; else straight on, or as little up or down as can be.
    """
    way, main = WAYS[start.faces], task.main
    first = moved(task.inlet, way, task.lead + more)
    found: list[tuple[tuple[Point, ...], float]] = []
    for height in task.heights:
        by = height - first[2]
        if abs(by) < _NOTHING or abs(by) >= main.leg:
            found.append(((task.inlet, first), height))
        elif start.axis != 2 and abs(by) >= main.slant:
            corner = moved(task.inlet, way, task.lead)
            level = moved((*corner[:2], height), way, abs(by))
            found.append(((task.inlet, corner, level, moved(level, way, main.leg + more)), height))
    if not found:
        heights = [height for height in (first[2], first[2] + main.leg, first[2] - main.leg) if height <= max(task.most, first[2])]
        found = [((task.inlet, first), min(heights, key=lambda height: (task.is_at_heads(height), abs(height - task.overhead))))]
    return found


def _corners(task: Task, start: Start, first: Point) -> list[float]:
    """Where along its line the main may begin: where the collector stands, before the first machine; a Y amid them."""
    along = start.along
    stops = sorted(stop.at[along] for stop in task.stops)
    if start.parts:
        middle, run_up = (len(stops) - 1) // 2, task.behind_y + max(stop.spur for stop in task.stops)
        near = zip(stops[max(middle - 1, 0) : middle + 2], stops[max(middle, 1) :], strict=False)
        return [first[along], *(at for low, high in near for at in _between(low, high, run_up))]
    [side] = start.sides
    run_up = task.main.bend + task.main.apart + max(stop.spur for stop in task.stops)
    before = min(side * at for at in stops) - run_up
    if task.room.corners:
        # No farther than the wall behind the first machine lets it.
        walls = [side * corner[along] for corner in task.room.corners]
        before = max(before, min(walls) + OFF_WALL + task.main.bore / 2)
    return [first[along]] if before >= side * first[along] else [first[along], side * before]


def _between(low: float, high: float, run_up: float) -> Iterator[float]:
    """Where between two machines a Y may part: in the middle, and as far from either as its branch wants."""
    if high - low > _SAME_LINE:
        yield from {(low + high) / 2, *(at for at in (low + run_up, high - run_up) if low < at < high)}
