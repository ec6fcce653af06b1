"""Every sensible layout measured in metres of duct before its ways are laid: where its line lies, how high, how its main gets there.

Points are (east, north, up) in m.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi, tan
from typing import Literal

import numpy as np

from engine.search.layouts.routes import Lines, efforts_along
from engine.search.layouts.trunks import Start, Task, Trunks, trunks
from engine.shapes.many import Array, Positions

# What a corner of the main counts in metres of duct, a metre outside the floor that machines and collector span where
# no walls are known, and a metre lower than over heads: judgement.
_CORNER, _OUTSIDE, _LOW = 2.0, 5.0, 10.0
# A main this near a wall lies along it, m: judgement.
_BY_WALL = 0.6
# Efforts nearer than this are one, m: what is drafted does not hang on rounding.
_SAME = 1e-6

Place = Literal["wall", "beside", "middle", "low"]


@dataclass(frozen=True, slots=True)
class Kind:
    """What sets layouts apart: how many mains, and where the line lies: by a wall, beside the machines, amid them, or low under the benches."""

    mains: int
    place: Place


@dataclass(frozen=True, slots=True)
class ArmIdea:
    """An arm before its ways are laid: which way along its axis, how far beyond its corner its first joint lies at least, m, and its stops."""

    side: int
    least: float
    stops: tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Ideas:
    """Ideas of layouts, a row each: its trunk, and metres of its trunk and ways with what counts as such, infinite where it cannot be.

    `line` (ideas,) says at which of the `lines` its main runs: where that
    lies, and on which side.
    """

    trunks: Trunks
    effort: Array
    line: Positions
    lines: tuple[tuple[Place, str], ...]

    def by_effort(self) -> list[int]:
        """The rows of those that can be, the least effort first, of equals the first."""
        rows: list[int] = np.argsort(np.round(self.effort / _SAME), kind="stable")[: np.isfinite(self.effort).sum()].tolist()
        return rows

    def start(self, row: int) -> Start:
        """How its main sets out."""
        return self.trunks.starts[int(self.trunks.start[row])]

    def kind(self, row: int) -> Kind:
        """What sets it apart."""
        return Kind(len(self.start(row).sides), self.lines[self.line[row]][0])

    def arms(self, row: int) -> tuple[ArmIdea, ...]:
        """Its arms."""
        task, start, corner = self.trunks.task, self.start(row), self.trunks.corner[row].tolist()
        least = _straight_on(task, start, bends=bool(self.trunks.bends[row]))
        return tuple(ArmIdea(side, least, _mine(task, start, side, corner[start.along])) for side in start.sides)


def ideas(task: Task, starts: Sequence[Start], *, low: bool) -> Ideas:
    """Every idea of these starts; `low` whether under the benches too."""
    found = trunks(task, starts, low=low)
    effort = found.length + _CORNER * found.turns + _OUTSIDE * found.strayed + _arm_efforts(found)
    at_low = found.corner[:, 2] == (-1.0 if task.low is None else task.low)
    effort += np.where(at_low, 0.0, _LOW * np.maximum(task.usual - found.corner[:, 2], 0.0))
    line, lines = _lines(found)
    amid = np.array([place == "middle" for place, _ in lines])[line]
    effort[at_low & amid] = np.inf
    return Ideas(found, effort, np.where(at_low, len(lines), line), (*lines, ("low", "")))


def starts(headings: Sequence[str]) -> list[Start]:
    """Every way a main can set out that leaves the collector in one of these directions: along either axis, to either side or both."""
    return [Start(faces, along, sides) for faces in headings for along in (0, 1) for sides in ((1,), (-1,), (1, -1))]


def _straight_on(task: Task, start: Start, *, bends: bool) -> float:
    """How far beyond its corner the first joint of a main lies at least, m; `bends` whether it turns at the corner."""
    pipe = task.main
    if start.parts:
        return pipe.spur + pipe.bend * tan(pi / 8) + pipe.apart
    return pipe.bend + pipe.apart if bends else 0.0


def _mine(task: Task, start: Start, side: int, corner: float) -> tuple[int, ...]:
    """The stops of the arm to a side, by index; `corner` is where along the axis the main begins, m."""
    return tuple(i for i, stop in enumerate(task.stops) if not start.parts or (stop.at[start.along] >= corner) == (side > 0))


def _arm_efforts(found: Trunks) -> Array:
    """What the ways of each trunk's arms take, m; infinite where one has no stops. Arms to the same stops are reckoned together."""
    task, efforts = found.task, np.zeros(len(found.start))
    least = np.array([[_straight_on(task, start, bends=bends) for bends in (False, True)] for start in found.starts])[found.start, found.bends * 1]
    alike: dict[tuple[int, int, tuple[int, ...]], list[Positions]] = {}
    for index, start in enumerate(found.starts):
        rows = np.flatnonzero(found.start == index)
        at = found.corner[rows, start.along]
        for corner in np.unique(at).tolist() if start.parts else [None]:
            some = rows if corner is None else rows[at == corner]
            for side in start.sides:
                alike.setdefault((start.along, side, _mine(task, start, side, corner or 0.0)), []).append(some)
    for (along, side, mine), parts in alike.items():
        rows = np.concatenate(parts)
        if mine:
            # Many trunks lead to one line: what its arm takes is reckoned once.
            known, again = np.unique(np.column_stack([found.corner[rows], least[rows]]), axis=0, return_inverse=True)
            lines = Lines(along, side, known[:, :3], known[:, 3], task.main.apart)
            efforts[rows] += efforts_along(lines, task.stops, mine)[again.ravel()]
        else:
            efforts[rows] = np.inf
    return efforts


def _lines(found: Trunks) -> tuple[Positions, list[tuple[Place, str]]]:
    """At which line each trunk ends, and where the lines lie, each told once."""
    line, lines = np.zeros(len(found.start), np.intp), list[tuple[Place, str]]()
    along = np.array([start.along for start in found.starts])[found.start]
    for axis in (0, 1):
        rows = np.flatnonzero(along == axis)
        places, index = np.unique(found.corner[rows, 1 - axis], return_inverse=True)
        line[rows] = len(lines) + index
        lines += [_place(found.task, axis, at) for at in places.tolist()]
    return line, lines


def _place(task: Task, along: int, at: float) -> tuple[Place, str]:
    """Where a line along an axis lies that runs so far across, m, and on which side."""
    names = ("south", "north") if along == 0 else ("west", "east")
    low, high = task.spans[1 - along]
    if not task.room.corners:
        return ("beside", names[at > high]) if not low <= at <= high else ("middle", "")
    for wall, inward in task.walls[along]:
        if 0.0 <= inward * (at - wall) <= _BY_WALL:
            return "wall", names[inward < 0]
    return "middle", ""
