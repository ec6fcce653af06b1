"""Layouts of ducts to choose from: one main or two from a Y, where its line lies, how high, how it leaves the collector.

Every sensible combination is measured in metres of duct; the best of each
kind is offered. Points are (east, north, up) in m.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import islice, pairwise
from math import dist, inf
from typing import Literal

import numpy as np

from engine.search.layouts.task import Task
from engine.search.layouts.ways.efforts import Main, efforts_along
from engine.search.layouts.ways.families import Course, courses
from engine.search.layouts.ways.route_pieces import corners
from engine.search.layouts.ways.routes import CORNER, Arm, ways_along
from engine.search.layouts.ways.trunks import Aim, Start, Trunks, aims, lines, trunks
from engine.shapes.many import Array
from engine.shapes.vectors import Point, heading, moved
from engine.units.words import listed
from engine.values import dataclass

Place = Literal["wall", "two walls", "three walls", "beside", "middle", "low"]
# What a metre outside the floor that machines and collector span counts in metres of duct where no walls are known, a
# metre through a wall, ceiling or zone, and a metre of main where people would walk into it: judgement.
_OUTSIDE, _BARRED, _AT_HEADS = 5.0, 50.0, 10.0
# A metre of trunk that hangs where people walk counts so much more, in metres of duct: judgement.
_AT_HEADS_TRUNK = 3.0
# A metre of main that has to hang below joists which it crosses counts so much more: judgement.
_ACROSS_JOISTS = 0.2
# Layouts of more than so many times the least effort are not worth a look, but there are this many to choose from: judgement.
_WORTH_A_LOOK, _FEWEST = 1.5, 2
_SIDES: tuple[tuple[int, ...], ...] = ((1,), (-1,), (1, -1))
_MAINS = {1: "one main", 2: "two mains from a Y"}
# A layout that begins so far from another, m, along the same lines is the same: judgement.
_SAME_CORNER = 1.0
# So many layouts of a kind are looked at closely where walls and zones are in the way.
_MOST_CLOSE_LOOKS = 40


@dataclass(frozen=True, slots=True)
class Kind:
    """What sets layouts apart: how many mains, and what they follow."""

    mains: int
    place: Place


@dataclass(frozen=True, slots=True)
class Layout:
    """A main of one arm, or a trunk to a Y and two arms; `faces` is the way it leaves the collector, `corner` where its line begins.

    `effort` is metres of duct, and what had better not be counted as such;
    `barred` are the metres that lie behind a wall, above the ceiling or in a
    zone; `sides` are the walls it follows, or the side of the machines where
    it lies.
    """

    kind: Kind
    sides: tuple[str, ...]
    faces: str
    corner: Point
    trunk: tuple[Point, ...]
    arms: tuple[Arm, ...]
    effort: float
    barred: float

    @property
    def lines(self) -> Iterator[tuple[tuple[Point, ...], int | None]]:
        """Every stretch of rigid duct as a line: the trunk, each arm, each way; and the stop that it leads to alone."""
        yield self.trunk, None
        for arm in self.arms:
            now = (arm.start or self.trunk)[-1]
            yield from ([(arm.start, None)] if arm.start else [])
            for way in arm.ways:
                if way.straight:
                    yield (now, *way.corners, *way.points[1:]), way.stop
                else:
                    yield (now, *way.corners, way.joint), None
                    yield way.points, way.stop
                now = way.joint

    @property
    def title(self) -> str:
        """What it is: "one main along the south wall"."""
        place, sides = self.kind.place, listed(self.sides, 3)
        match place:
            case "middle":
                where = "through the middle"
            case "low":
                where = "under the benches"
            case "beside":
                where = f"{sides} of the machines"
            case _:
                where = f"along the {sides} wall{'s' if len(self.sides) > 1 else ''}"
        return f"{_MAINS[self.kind.mains]} {where}"

    @property
    def height(self) -> float:
        """How high its mains run, m."""
        return self.arms[0].ways[0].points[0][2]


@dataclass(frozen=True, slots=True)
class _Idea:
    """A layout before its ways are laid: metres of its trunk and its ways, but for what bars those; where it lies, its trunk, its arms."""

    effort: float
    kind: Kind
    course: Course
    start: Start
    led: Trunks
    row: int
    arms: tuple[Main, ...]

    @property
    def trunk(self) -> tuple[Point, ...]:
        """From the inlet to where its line begins."""
        return self.led.trunk(self.row)

    @property
    def corner(self) -> Point:
        """Where its line begins."""
        return self.arms[0][0].corner


def best_of_each(task: Task) -> tuple[Layout, ...]:
    """The layout of least effort of every kind there can be and that is worth a look, the least of all first; at least one."""
    ideas: dict[Kind, list[_Idea]] = {}
    for idea in _ideas(task, _starts(task.headings)):
        ideas.setdefault(idea.kind, []).append(idea)
    layouts = (_least_layout(task, of_kind) for of_kind in ideas.values())
    found = sorted((one for one in layouts if one), key=lambda one: one.effort)
    return tuple(one for place, one in enumerate(found) if place < _FEWEST or one.effort <= _WORTH_A_LOOK * found[0].effort)


def best_of_kind(task: Task, kind: Kind) -> Layout | None:
    """The layout of least effort of a kind; None where there is none."""
    return _least_layout(task, [idea for idea in _ideas(task, _starts(task.headings, kind.mains)) if idea.kind == kind])


def laid_anew(task: Task, plan: Layout) -> Layout | None:
    """The layout of least effort of those as one that was laid in other bores: along the same lines, from nearly the same corner; None for none."""
    directions = [arm.direction for arm in plan.arms]
    like = _ideas(task, _starts([plan.faces], plan.kind.mains), near=plan.corner)
    return _least_layout(task, [idea for idea in like if idea.kind == plan.kind and [line.direction for line, _ in idea.arms] == directions])


def best_by_mains(task: Task, headings: Sequence[str]) -> tuple[Layout, ...]:
    """The layout of least effort over these headings of one main, and of two where there can be, the least first: of few lines, each straight on."""
    ideas = _ideas(task, _starts(headings), few=True)
    layouts = (_least_layout(task, [idea for idea in ideas if idea.kind.mains == mains]) for mains in (1, 2))
    return tuple(sorted((one for one in layouts if one), key=lambda one: one.effort))


def _least_layout(task: Task, ideas: Iterable[_Idea]) -> Layout | None:
    """The best of some ideas once walls and zones are counted that their ways meet; None where none can be laid."""
    best: Layout | None = None
    for idea in islice(sorted(ideas, key=lambda idea: idea.effort), _MOST_CLOSE_LOOKS):
        if idea.effort >= (best.effort if best else inf):
            break
        made = _lay(task, idea)
        best = made if best is None or made.effort < best.effort else best
    return best


# ---- ideas


def _starts(headings: Iterable[str], mains: int | None = None) -> list[Start]:
    """Every way to set out in one of these headings, with so many mains; with one or two for None."""
    return [
        Start(faces, along, sides)
        for faces in headings for along in (0, 1) for sides in _SIDES if mains in (None, len(sides))
    ]  # fmt: skip


def _ideas(task: Task, starts: Iterable[Start], *, few: bool = False, near: Point | None = None) -> list[_Idea]:
    """Every sensible way to lay a task; `few`: of few lines, each straight on; `near`: from nearly the same corner."""
    beside = [lines(task, along, few=few) for along in (0, 1)]
    wanted = [aim for start in starts for aim in aims(task, start, beside[start.along]) if near is None or dist(aim.corner, near) <= _SAME_CORNER]
    if not wanted:
        return []
    led = trunks(task, wanted)
    found, mains = list[tuple[float, Kind, Course, int, list[int]]](), dict[Main, int]()
    every, parted = tuple(range(len(task.stops))), dict[tuple[int, float], list[tuple[int, ...]]]()
    for row, effort in _least_to_each(task, wanted, led).items():
        start, _, corner, *_ = wanted[led.to[row]]
        shares = [every]
        if start.parts:
            at = start.along, corner[start.along]
            shares = parted[at] if at in parted else parted.setdefault(at, _on_either_side(task, *at))
        if not all(shares):
            continue
        for course in islice(courses(task, start, corner, led.last[row] != start.along), 1 if few else None):
            place: Place = "low" if corner[2] == task.low else course.place
            if place != "low" or course.place != "middle":
                more = 0.0 if place == "low" else _in_the_way(task, start.along, corner[2])
                arms = [mains.setdefault(arm, len(mains)) for arm in zip(course.lines, shares, strict=True)]
                found.append((effort + more, Kind(len(arms), place), course, row, arms))
    efforts, each = efforts_along(list(mains), task.stops).tolist(), list(mains)
    ideas = (
        _Idea(effort + sum([efforts[i] for i in arms]), kind, course, wanted[led.to[row]].start, led, row, tuple([each[i] for i in arms]))
        for effort, kind, course, row, arms in found
    )
    return [idea for idea in ideas if idea.effort < inf]


def _on_either_side(task: Task, along: int, at: float) -> list[tuple[int, ...]]:
    """The stops that lie no less far along an axis than a Y, and those that lie less far, in the order of `_SIDES`."""
    beyond = [stop.at[along] >= at for stop in task.stops]
    return [tuple([i for i, is_beyond in enumerate(beyond) if is_beyond == wanted]) for wanted in (True, False)]


def _least_to_each(task: Task, wanted: Sequence[Aim], led: Trunks) -> dict[int, float]:
    """Of the trunks that come to one corner alike the one of least effort, by row, and that."""
    best: dict[object, tuple[float, int]] = {}
    for row, (effort, to, last) in enumerate(zip(_trunk_efforts(task, led).tolist(), led.to.tolist(), led.last.tolist(), strict=True)):
        aim = wanted[to]
        # A Y lies across its trunk, one main only turns from it or does not.
        alike = aim.start.along, aim.start.sides, aim.corner, last if aim.start.parts else last == aim.start.along
        if alike not in best or effort < best[alike][0]:
            best[alike] = effort, row
    return {row: effort for effort, row in best.values()}


def _in_the_way(task: Task, along: int, height: float) -> float:
    """What a main that is not low counts more for joists which it crosses, and where people would walk into it, in metres of duct."""
    across = _ACROSS_JOISTS * (task.spans[along][1] - task.spans[along][0]) * task.is_across_joists(along)
    return across + _AT_HEADS * max(task.overhead - height, 0.0) * task.is_at_heads(height)


def _trunk_efforts(task: Task, led: Trunks) -> Array:
    """Metres of each trunk, with what counts against it: corners, what bars its way, and where it hangs in people's."""
    moves = led.moves
    efforts: Array = CORNER * ((moves > 0.0).sum(axis=1) - 1) + moves.sum(axis=1) + _strayed(task, led.points)
    trunk, move = np.nonzero(moves > 0.0)
    starts, ends = led.points[trunk, move], led.points[trunk, move + 1]
    counted = _AT_HEADS_TRUNK * task.metres_at_heads(starts, ends)
    if task.is_barred_anywhere:
        counted = counted + _BARRED * task.metres_barred(starts, ends)
    np.add.at(efforts, trunk, counted)
    return efforts


def _strayed(task: Task, points: Array) -> Array | float:
    """What trunks that leave the floor of machines and collector count, where no walls tell how far they may go."""
    if task.room.corners:
        return 0.0
    low, high = np.array(task.spans).T
    here, level = np.array(task.inlet[:2]), points[..., :2]
    beyond = np.maximum(np.maximum(np.minimum(low, here) - level, level - np.maximum(high, here)), 0.0).sum(axis=2)
    turns = np.hstack([np.ones((len(points), 1)), np.diff(points, axis=1).any(axis=2)])
    strayed: Array = _OUTSIDE * (beyond * turns).sum(axis=1)
    return strayed


# ---- laid


def _lay(task: Task, idea: _Idea) -> Layout:
    trunk, parting = idea.trunk, task.main.spur
    if not idea.start.parts:
        [(line, mine)] = idea.arms
        arms = [Arm((), line.direction, ways_along(line, task.stops, mine))]
    else:
        corner = idea.corner
        joint = moved(corner, heading(*trunk[-2:]), -parting)
        arms = [Arm((joint, moved(corner, line.direction, parting)), line.direction, ways_along(line, task.stops, mine)) for line, mine in idea.arms]
        trunk = (*trunk[:-1], joint)
    found = Layout(idea.kind, idea.course.sides, idea.start.faces, idea.corner, corners(trunk), tuple(arms), idea.effort, 0.0)
    if not task.is_barred_anywhere:
        return found
    parts = [(*ends, stop) for line, stop in found.lines for ends in pairwise(line)]
    starts, ends = (np.array([part[i] for part in parts]) for i in (0, 1))
    barred = task.metres_barred(starts, ends, [stop for _, _, stop in parts])
    beyond = float(barred[len(found.trunk) - 1 :].sum())
    return replace(found, effort=found.effort + _BARRED * beyond, barred=float(barred.sum()))
