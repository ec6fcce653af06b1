"""Layouts of ducts to choose from: one main or two from a Y, where its line lies, how high, how it leaves the collector.

Every sensible combination is measured in metres of duct; the best of each
kind is offered. Points are (east, north, up) in m.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import inf

import numpy as np

from engine.search.layouts.ideas import ArmIdea, Ideas, Kind, ideas, starts
from engine.search.layouts.route_pieces import corners
from engine.search.layouts.routes import Arm, Lines, ways_along
from engine.search.layouts.trunks import Task, Trunk
from engine.shapes.vectors import DIRECTIONS, Point, heading, moved

# What a metre through a wall, ceiling or zone counts in metres of duct: judgement.
_BARRED = 50.0
# So many layouts of a kind are looked at closely where walls and zones are in the way.
_MOST_CLOSE_LOOKS = 40
# How many of each kind are laid together first.
_FIRST_LOOKS = 3


@dataclass(frozen=True, slots=True)
class Layout:
    """A main of one arm, or a trunk to a Y and two arms; `faces` is the way it leaves the collector.

    `effort` is metres of duct, and what had better not be counted as such;
    `barred` are the metres that lie behind a wall, above the ceiling or in a
    zone; `side` is where the line lies of its wall or of the machines, "" for
    neither.
    """

    kind: Kind
    side: str
    faces: str
    trunk: tuple[Point, ...]
    arms: tuple[Arm, ...]
    effort: float
    barred: float

    @property
    def mains(self) -> Iterator[tuple[Point, ...]]:
        """Every stretch of the mains as a line: the trunk, and each arm."""
        yield self.trunk
        for arm in self.arms:
            yield (*(arm.start or self.trunk)[-1:], arm.ways[-1].joint)
            yield from ([arm.start] if arm.start else [])


def best_of_each(task: Task) -> tuple[Layout, ...]:
    """The layout of least effort of every kind there can be, the least of all first; at least one."""
    found = ideas(task, starts([task.faces] if task.faces else DIRECTIONS[:4]), low=True)
    return _least_of_each(found, _groups(found, found.kind), inf)


def shortest_over_heads(task: Task, headings: Sequence[str], most: float) -> tuple[Layout, ...]:
    """The layout of least effort over heads of each heading, of one main and of two where there can be, the least of all first; at least one.

    Of those only what takes at most `most` times the least effort.
    """
    found = ideas(task, starts(headings), low=False)
    return _least_of_each(found, _groups(found, lambda row: (found.start(row).faces, len(found.start(row).sides))), most)


def _groups(found: Ideas, kind: Callable[[int], Hashable]) -> list[list[int]]:
    """The rows of each kind that are looked at closely, the least effort first."""
    groups: dict[Hashable, list[int]] = {}
    for row in found.by_effort():
        groups.setdefault(kind(row), []).append(row)
    return [rows[:_MOST_CLOSE_LOOKS] for rows in groups.values()]


def _least_of_each(found: Ideas, groups: Sequence[Sequence[int]], most: float) -> tuple[Layout, ...]:
    """The best of each group once walls and zones are counted, the least effort first, up to `most` times the least.

    An idea's own effort is the least it can come to: so some ideas of every
    group are laid together, then more of those that may yet bring a better one.
    """
    laying, best, laid, more = _Laying(found), dict[int, Layout](), 0, _FIRST_LOOKS
    waiting = list(range(len(groups)))
    while waiting:
        made = laying.lay([row for group in waiting for row in groups[group][laid : laid + more]])
        for group in waiting:
            here = [best[group]] if group in best else []
            best[group] = min([*here, *(made[row] for row in groups[group][laid : laid + more])], key=lambda one: one.effort)
        laid, more = laid + more, 2 * more
        bound = most * min(one.effort for one in best.values())
        waiting = [group for group in waiting if groups[group][laid:] and found.effort[groups[group][laid]] < min(best[group].effort, bound)]
    return tuple(sorted((one for one in best.values() if one.effort <= bound), key=lambda one: one.effort))


# Which way an arm goes along its axis, from which corner.
_ArmKey = tuple[int, Point, ArmIdea]


class _Laying:
    """Lays the ways of ideas; what an arm's take is laid and measured once, however many mains lead to it."""

    def __init__(self, found: Ideas) -> None:
        self._found = found
        self._task = found.trunks.task
        self._arms: dict[_ArmKey, tuple[Arm, float]] = {}

    def lay(self, rows: Sequence[int]) -> dict[int, Layout]:
        """The layouts of ideas by their rows."""
        found, trunks = self._found, {row: self._found.trunks.trunk(row) for row in rows}
        keys = {row: [(trunk.start.along, trunk.corner, idea) for idea in found.arms(row)] for row, trunk in trunks.items()}
        self._lay_arms(dict.fromkeys(key for of_row in keys.values() for key in of_row if key not in self._arms))
        made = {row: self._joined(row, trunk, [self._arms[key][0] for key in keys[row]]) for row, trunk in trunks.items()}
        barred = self._barred([list(one.mains) for one in made.values()])
        metres = {row: of_mains + sum(self._arms[key][1] for key in keys[row]) for row, of_mains in zip(made, barred, strict=True)}
        return {row: replace(one, effort=one.effort + _BARRED * metres[row], barred=metres[row]) for row, one in made.items()}

    def _joined(self, row: int, trunk: Trunk, arms: Sequence[Arm]) -> Layout:
        """A trunk with its arms, as if nothing barred them."""
        found, points, parting = self._found, trunk.points, self._task.main.spur
        if trunk.start.parts:
            joint = moved(trunk.corner, heading(*points[-2:]), -parting)
            arms = [replace(arm, start=(joint, moved(trunk.corner, arm.direction, parting))) for arm in arms]
            points = (*points[:-1], joint)
        side = found.lines[found.line[row]][1]
        return Layout(found.kind(row), side, trunk.start.faces, corners(points), tuple(arms), float(found.effort[row]), 0.0)

    def _lay_arms(self, keys: Iterable[_ArmKey]) -> None:
        """Lay arms without their starts, and measure how much of their ways is barred."""
        alike: dict[tuple[int, int, tuple[int, ...]], list[_ArmKey]] = {}
        for key in keys:
            alike.setdefault((key[0], key[2].side, key[2].stops), []).append(key)
        for (along, side, stops), some in alike.items():
            least = np.array([idea.least for _, _, idea in some])
            lines = Lines(along, side, np.array([corner for _, corner, _ in some]), least, self._task.main.apart)
            laid = ways_along(lines, self._task.stops, stops)
            barred = self._barred([[way.points for way in ways] for ways in laid])
            for key, ways, metres in zip(some, laid, barred, strict=True):
                self._arms[key] = Arm((), lines.direction, ways), metres

    def _barred(self, groups: Sequence[Sequence[Sequence[Point]]]) -> list[float]:
        """Metres that are barred of the lines of each of these groups."""
        room = self._task.room
        if not room.is_known:
            return [0.0] * len(groups)
        stretches = [(group, *ends) for group, lines in enumerate(groups) for line in lines for ends in pairwise(line)]
        of, starts, ends = zip(*stretches, strict=True)
        metres = room.metres_barred(np.array(starts), np.array(ends), self._task.main.bore / 2)
        barred: list[float] = np.bincount(of, metres, len(groups)).tolist()
        return barred
