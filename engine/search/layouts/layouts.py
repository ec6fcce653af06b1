"""Layouts of ducts to choose from: one main or two from a Y, where its line lies, how high, how it leaves the collector.

Every sensible combination is measured in metres of duct; the best of each
kind is offered. Points are (east, north, up) in m.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import dist, pi, tan
from typing import Literal

from engine.search.layouts.route_pieces import corners
from engine.search.layouts.routes import Arm, Line, effort_along, ways_along
from engine.search.layouts.trunks import Start, Task, Trunk, lines, trunks
from engine.shapes.vectors import DIRECTIONS, Point, heading, moved

# What a corner of the main counts in metres of duct, a metre outside the floor that machines and collector span where
# no walls are known, a metre through a wall, ceiling or zone, and a metre lower than over heads: judgement.
_CORNER, _OUTSIDE, _BARRED, _LOW = 2.0, 5.0, 50.0, 10.0
# A main this near a wall lies along it, m: judgement.
_BY_WALL = 0.6
# So many layouts of a kind are looked at closely where walls and zones are in the way.
_MOST_CLOSE_LOOKS = 40


Place = Literal["wall", "beside", "middle", "low"]


@dataclass(frozen=True, slots=True)
class Kind:
    """What sets layouts apart: how many mains, and where the line lies: by a wall, beside the machines, amid them, or low under the benches."""

    mains: int
    place: Place


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
    def lines(self) -> Iterator[tuple[Point, ...]]:
        """Every stretch of rigid duct as a line: the trunk, each arm, each way."""
        yield self.trunk
        for arm in self.arms:
            yield (*(arm.start or self.trunk)[-1:], arm.ways[-1].joint)
            yield from ([arm.start] if arm.start else [])
            yield from (way.points for way in arm.ways)


# An arm's line, and the stops it leads to.
_ArmIdea = tuple[Line, tuple[int, ...]]


@dataclass(frozen=True, slots=True)
class _Idea:
    """A layout before its ways are laid: metres of its trunk and ways, where it lies, and the arms' lines with their stops."""

    effort: float
    kind: Kind
    side: str
    start: Start
    trunk: Trunk
    arms: tuple[_ArmIdea, ...]


def best_of_each(task: Task) -> tuple[Layout, ...]:
    """The layout of least effort of every kind there can be, the least of all first; at least one."""
    ideas: dict[Kind, list[_Idea]] = {}
    for idea in _ideas(task):
        ideas.setdefault(idea.kind, []).append(idea)
    return tuple(sorted((_least_layout(task, of_kind) for of_kind in ideas.values()), key=lambda found: found.effort))


def best_over_heads(task: Task) -> tuple[Layout, ...]:
    """The layout of least effort over heads of one main, and of two where there can be, the least first."""
    ideas = [idea for idea in _ideas(task) if idea.kind.place != "low"]
    by_mains = ([idea for idea in ideas if idea.kind.mains == mains] for mains in (1, 2))
    return tuple(sorted((_least_layout(task, some) for some in by_mains if some), key=lambda found: found.effort))


def _least_layout(task: Task, ideas: Sequence[_Idea]) -> Layout:
    """The best of at least one idea once walls and zones are counted: an idea's own effort is the least it can come to."""
    first, *others = sorted(ideas, key=lambda idea: idea.effort)[:_MOST_CLOSE_LOOKS]
    best = _lay(task, first)
    for idea in others:
        if idea.effort >= best.effort:
            break
        made = _lay(task, idea)
        best = made if made.effort < best.effort else best
    return best


# ---- ideas


def _ideas(task: Task) -> Iterator[_Idea]:
    efforts = _Efforts(task)
    for faces in [task.faces] if task.faces else DIRECTIONS[:4]:
        for along in (0, 1):
            beside = lines(task, along)
            for sides in ((1,), (-1,), (1, -1)):
                start = Start(faces, along, sides)
                for trunk in trunks(task, start, beside):
                    idea = _idea(task, start, trunk, efforts)
                    if idea:
                        yield idea


class _Efforts:
    """What the ways of an arm take, m of duct, each reckoned once: many trunks lead to one line."""

    def __init__(self, task: Task) -> None:
        self._stops = task.stops
        self._known: dict[_ArmIdea, float] = {}

    def along(self, arm: _ArmIdea) -> float:
        """The ways of this arm, and the main to the last of them."""
        if arm not in self._known:
            self._known[arm] = effort_along(arm[0], self._stops, arm[1])
        return self._known[arm]


def _idea(task: Task, start: Start, trunk: Trunk, efforts: _Efforts) -> _Idea | None:
    corner, pipe, along = trunk.corner, task.main, start.along
    parting = pipe.spur if start.parts else 0.0
    straight_on = parting + pipe.bend * tan(pi / 8) + pipe.apart if parting else pipe.bend + pipe.apart if trunk.turns else 0.0
    arms, effort = [], _CORNER * (len(trunk.points) - 2) + _length(trunk.points) + _stray_effort(task, trunk.points)
    for side in start.sides:
        line = Line(along, side, corner, straight_on, pipe.apart)
        mine = tuple(i for i, stop in enumerate(task.stops) if not parting or (stop.at[along] >= corner[along]) == (side > 0))
        if not mine:
            return None
        effort += efforts.along((line, mine))
        arms.append((line, mine))
    place, beside = _place(task, along, corner)
    if corner[2] != task.low:
        effort += _LOW * max(task.usual - corner[2], 0.0)
    elif place == "middle":
        return None
    else:
        place, beside = "low", ""
    return _Idea(effort, Kind(len(start.sides), place), beside, start, trunk, tuple(arms))


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


def _place(task: Task, along: int, corner: Point) -> tuple[Place, str]:
    """Where a line lies, and on which side."""
    across, at = 1 - along, corner[1 - along]
    names = ("south", "north") if along == 0 else ("west", "east")
    low, high = task.spans[across]
    if not task.room.corners:
        return ("beside", names[at > high]) if not low <= at <= high else ("middle", "")
    for wall, inward in task.walls[along]:
        if 0.0 <= inward * (at - wall) <= _BY_WALL:
            return "wall", names[inward < 0]
    return "middle", ""


# ---- laid


def _lay(task: Task, idea: _Idea) -> Layout:
    trunk, parting = idea.trunk.points, task.main.spur
    if not idea.start.parts:
        [(line, mine)] = idea.arms
        arms = [Arm((), line.direction, ways_along(line, task.stops, mine))]
    else:
        corner = idea.trunk.corner
        joint = moved(corner, heading(*trunk[-2:]), -parting)
        arms = [Arm((joint, moved(corner, line.direction, parting)), line.direction, ways_along(line, task.stops, mine)) for line, mine in idea.arms]
        trunk = (*trunk[:-1], joint)
    found = Layout(idea.kind, idea.side, idea.start.faces, corners(trunk), tuple(arms), idea.effort, 0.0)
    barred = sum(task.room.barred(line, task.main.bore / 2) for line in found.lines) if task.room.is_known else 0.0
    return replace(found, effort=found.effort + _BARRED * barred, barred=barred)


def _length(points: Sequence[Point]) -> float:
    return sum(dist(a, b) for a, b in pairwise(points))
