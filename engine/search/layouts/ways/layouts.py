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
from engine.search.layouts.ways.families import Course, courses
from engine.search.layouts.ways.route_pieces import corners
from engine.search.layouts.ways.routes import CORNER, Arm, Line, effort_along, least_effort, length_of, uses_every_line, ways_along
from engine.search.layouts.ways.trunks import Start, Trunk, lines, trunks
from engine.shapes.vectors import DIRECTIONS, Point, heading, moved
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


# An arm's line, and the stops it leads to.
_ArmIdea = tuple[Line, tuple[int, ...]]


@dataclass(frozen=True, slots=True)
class _Idea:
    """A layout before its ways are laid: metres of its trunk, and at least how many with its ways; where it lies, the lines of its arms."""

    trunk_effort: float
    least: float
    kind: Kind
    sides: tuple[str, ...]
    start: Start
    trunk: Trunk
    arms: tuple[_ArmIdea, ...]


def best_of_each(task: Task) -> tuple[Layout, ...]:
    """The layout of least effort of every kind there can be and that is worth a look, the least of all first; at least one."""
    ideas: dict[Kind, list[_Idea]] = {}
    for idea in _weighed(task, _ideas(task)):
        ideas.setdefault(idea.kind, []).append(idea)
    layouts = (_least_layout(task, of_kind) for of_kind in ideas.values())
    found = sorted((one for one in layouts if one), key=lambda one: one.effort)
    return tuple(one for place, one in enumerate(found) if place < _FEWEST or one.effort <= _WORTH_A_LOOK * found[0].effort)


def best_of_kind(task: Task, kind: Kind) -> Layout | None:
    """The layout of least effort of a kind; None where there is none."""
    return _least_layout(task, _weighed(task, _ideas(task, kind=kind)))


def laid_anew(task: Task, plan: Layout) -> Layout | None:
    """The layout of least effort of those as one that was laid in other bores: along the same lines, from nearly the same corner; None for none."""
    same = plan.faces, [arm.direction for arm in plan.arms]
    like = (idea for idea in _ideas(task, kind=plan.kind) if (idea.start.faces, [line.direction for line, _ in idea.arms]) == same)
    return _least_layout(task, _weighed(task, (idea for idea in like if dist(idea.trunk.corner, plan.corner) <= _SAME_CORNER)))


def best_by_mains(task: Task, headings: Sequence[str]) -> tuple[Layout, ...]:
    """The layout of least effort over these headings of one main, and of two where there can be, the least first: of few lines, each straight on."""
    ideas = _weighed(task, (idea for faces in headings for idea in _ideas(replace(task, faces=faces), few=True)))
    layouts = (_least_layout(task, [idea for idea in ideas if idea.kind.mains == mains]) for mains in (1, 2))
    return tuple(sorted((one for one in layouts if one), key=lambda one: one.effort))


def _least_layout(task: Task, ideas: Iterable[_Idea]) -> Layout | None:
    """The best of some ideas once their ways are measured, and walls and zones are counted; None where none can be laid."""
    best, looks, known = None, 0, dict[_ArmIdea, float]()
    for idea in sorted(ideas, key=lambda idea: idea.least):
        if best and (idea.least >= best.effort or looks >= _MOST_CLOSE_LOOKS):
            break
        effort = idea.trunk_effort
        for arm in idea.arms:
            if arm not in known:
                known[arm] = effort_along(arm[0], task.stops, arm[1]) if uses_every_line(arm[0], task.stops, arm[1]) else inf
            effort += known[arm]
        if effort < (best.effort if best else inf):
            made, looks = _lay(task, idea, effort), looks + 1
            best = made if best is None or made.effort < best.effort else best
    return best


# ---- ideas


def _ideas(task: Task, *, few: bool = False, kind: Kind | None = None) -> Iterator[_Idea]:
    """Every sensible way to lay a task; `few`: of few lines, each straight on; of one kind where one is given."""
    bounds: dict[_ArmIdea, float] = {}
    for faces in [task.faces] if task.faces else DIRECTIONS[:4]:
        for along in (0, 1):
            beside = lines(task, along, few=few)
            for sides in _SIDES if kind is None else [sides for sides in _SIDES if len(sides) == kind.mains]:
                start = Start(faces, along, sides)
                for trunk in trunks(task, start, beside):
                    for course in islice(courses(task, start, trunk), 1 if few else None):
                        place: Place = "low" if trunk.corner[2] == task.low else course.place
                        idea = _idea(task, start, trunk, course, place, bounds) if kind is None or place == kind.place else None
                        if idea:
                            yield idea


def _idea(task: Task, start: Start, trunk: Trunk, course: Course, place: Place, bounds: dict[_ArmIdea, float]) -> _Idea | None:
    corner, along, height = trunk.corner, start.along, trunk.corner[2]
    if place == "low" and course.place == "middle":
        return None
    effort = CORNER * (len(trunk.points) - 2) + length_of(trunk.points) + _stray_effort(task, trunk.points)
    arms, least = [], 0.0
    for line, side in zip(course.lines, start.sides, strict=True):
        mine = tuple(i for i, stop in enumerate(task.stops) if not start.parts or (stop.at[along] >= corner[along]) == (side > 0))
        if not mine:
            return None
        arm = (line, mine)
        if arm not in bounds:
            bounds[arm] = least_effort(line, task.stops, mine)
        least += bounds[arm]
        arms.append(arm)
    if place != "low":
        effort += _ACROSS_JOISTS * (task.spans[along][1] - task.spans[along][0]) * task.is_across_joists(along)
        effort += _AT_HEADS * max(task.overhead - height, 0.0) * task.is_at_heads(height)
    return _Idea(effort, effort + least, Kind(len(arms), place), course.sides, start, trunk, tuple(arms))


def _stray_effort(task: Task, trunk: Sequence[Point]) -> float:
    """What a trunk that leaves the floor of machines and collector counts, where no walls tell how far it may go."""
    if task.room.corners:
        return 0.0
    strayed = 0.0
    for axis in (0, 1):
        low, high = task.spans[axis]
        low, high = min(low, task.inlet[axis]), max(high, task.inlet[axis])
        strayed += sum(max(low - point[axis], point[axis] - high, 0.0) for point in trunk)
    return _OUTSIDE * strayed


def _weighed(task: Task, ideas: Iterable[_Idea]) -> list[_Idea]:
    """The ideas, each with what counts against where its trunk lies: what bars its way, and where it hangs in people's."""
    found = list(ideas)
    trunks = list(dict.fromkeys(idea.trunk.points for idea in found))
    if not trunks:
        return []
    owner = np.repeat(np.arange(len(trunks)), [len(points) - 1 for points in trunks])
    starts, ends = (np.concatenate([np.array(points)[part] for points in trunks]) for part in (slice(None, -1), slice(1, None)))
    counted = _AT_HEADS_TRUNK * task.metres_at_heads(starts, ends)
    if task.is_barred_anywhere:
        counted = counted + _BARRED * task.metres_barred(starts, ends)
    effort = dict(zip(trunks, np.bincount(owner, counted, len(trunks)).tolist(), strict=True))

    def weighed(idea: _Idea) -> _Idea:
        more = effort[idea.trunk.points]
        return replace(idea, trunk_effort=idea.trunk_effort + more, least=idea.least + more) if more else idea

    return [weighed(idea) for idea in found]


# ---- laid


def _lay(task: Task, idea: _Idea, effort: float) -> Layout:
    trunk, parting = idea.trunk.points, task.main.spur
    if not idea.start.parts:
        [(line, mine)] = idea.arms
        arms = [Arm((), line.direction, ways_along(line, task.stops, mine))]
    else:
        corner = idea.trunk.corner
        joint = moved(corner, heading(*trunk[-2:]), -parting)
        arms = [Arm((joint, moved(corner, line.direction, parting)), line.direction, ways_along(line, task.stops, mine)) for line, mine in idea.arms]
        trunk = (*trunk[:-1], joint)
    found = Layout(idea.kind, idea.sides, idea.start.faces, idea.trunk.corner, corners(trunk), tuple(arms), effort, 0.0)
    if not task.is_barred_anywhere:
        return found
    parts = [(*ends, stop) for line, stop in found.lines for ends in pairwise(line)]
    starts, ends = (np.array([part[i] for part in parts]) for i in (0, 1))
    barred = task.metres_barred(starts, ends, [stop for _, _, stop in parts])
    beyond = float(barred[len(found.trunk) - 1 :].sum())
    return replace(found, effort=found.effort + _BARRED * beyond, barred=float(barred.sum()))
