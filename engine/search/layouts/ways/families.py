"""Families of layouts: along which lines the mains go from where they begin.

One line; or from wall to wall, where the room has corners. Each is a function
over the task, how the mains set out, and where their trunk ends.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from typing import Literal

from engine.search.layouts.task import Task
from engine.search.layouts.ways.routes import Line
from engine.search.layouts.ways.trunks import Start
from engine.shapes.vectors import Point
from engine.values import dataclass

Place = Literal["wall", "two walls", "three walls", "beside", "middle"]
# A main this near a wall lies along it, m: judgement.
_BY_WALL = 0.6


@dataclass(frozen=True, slots=True)
class Course:
    """The line of each arm, the place they follow, and the walls there, or the side of the machines."""

    lines: tuple[Line, ...]
    place: Place
    sides: tuple[str, ...]


def courses(task: Task, start: Start, corner: Point, turns: bool) -> Iterator[Course]:
    """Every course from the corner where a trunk ends, and `turns` into the first line or goes straight on."""
    first = tuple(_first_line(task, start, corner, turns, side) for side in start.sides)
    straight = _one_line(task, start.along, corner, first)
    yield straight
    if straight.place == "wall":
        yield from _wall_to_wall(task, first, straight.sides)


def _first_line(task: Task, start: Start, corner: Point, turns: bool, side: int) -> Line:
    """The line an arm begins along; its first joint stands clear of the Y, or of the last elbow."""
    pipe = task.main
    behind_elbow = pipe.bend + pipe.apart if turns else 0.0
    return Line(start.along, side, corner, task.behind_y if start.parts else behind_elbow, task.apart)


def _one_line(task: Task, along: int, corner: Point, lines: tuple[Line, ...]) -> Course:
    """Straight on: along a wall, through the middle, or beside the machines where no walls are known."""
    across, at = 1 - along, corner[1 - along]
    names = ("south", "north") if along == 0 else ("west", "east")
    low, high = task.spans[across]
    if not task.room.corners:
        return Course(lines, "middle", ()) if low <= at <= high else Course(lines, "beside", (names[at > high],))
    for wall, inward in task.walls[along]:
        if 0.0 <= inward * (at - wall) <= _BY_WALL:
            return Course(lines, "wall", (names[inward < 0],))
    return Course(lines, "middle", ())


def _wall_to_wall(task: Task, lines: tuple[Line, ...], sides: tuple[str, ...]) -> Iterator[Course]:
    """Round the corners of the room: one arm along two walls or three, two arms each round their own corner."""
    if len(lines) == 1:
        for line, wall in _round_corner(task, lines[0]):
            yield Course((line,), "two walls", (*sides, wall))
            for further, third in _round_corner(task, line.onward) if line.onward else ():
                yield Course((replace(line, onward=further),), "three walls", (*sides, wall, third))
        return
    for (one, wall), (other, opposite) in product(*(_round_corner(task, line) for line in lines)):
        yield Course((one, other), "three walls", (*sides, wall, opposite))


def _round_corner(task: Task, line: Line) -> Iterator[tuple[Line, str]]:
    """A line with another beyond it along each wall ahead, and the name of that wall."""
    pipe, names = task.main, ("south", "north") if line.across == 0 else ("west", "east")
    for wall in task.walls[line.across]:
        at, inward = task.off_wall(wall), wall[1]
        ahead = line.side * (at - line.corner[line.along])
        most = ahead - pipe.bend - pipe.apart
        if inward == line.side or most < line.least:
            continue
        east, north, up = line.corner
        corner = (at, north, up) if line.along == 0 else (east, at, up)
        for side in (1, -1):
            beyond = Line(line.across, side, corner, pipe.bend + pipe.apart, task.apart)
            if _leads_into_room(task, beyond):
                yield replace(line, most=most, onward=beyond), names[inward < 0]


def _leads_into_room(task: Task, line: Line) -> bool:
    """Whether there is floor along a line."""
    by = line.side * 2 * line.least
    east, north, _ = line.corner
    return task.room.holds((east + by, north) if line.along == 0 else (east, north + by))
