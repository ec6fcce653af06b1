"""Findings from where the ducts are against each other: pipes in one place."""

from __future__ import annotations

from collections.abc import Iterator
from math import dist
from typing import NamedTuple

from engine.checks.look import Look
from engine.checks.one_run import outer_radius
from engine.checks.rules import Finding, finding
from engine.design import Hose, Run
from engine.design.kept import ROWS, WHOLES, kept
from engine.shapes.clearance import Box, nearest, overlap, shifted, wider
from engine.shapes.vectors import Point, moved
from engine.space.geometry import Way
from engine.space.lay import ORIGIN, Lay, Line

_TOUCHING = 1e-6
# Two ducts that part at a joint are apart when the way between them is this many times their radii together.
_PARTING = 6.0


class Pipe(NamedTuple):
    """A run's pipe: its position among the runs, its way and outer radius, the box of all of it."""

    at: int
    run: Run
    way: Way
    radius: float
    box: Box


def ducts_cross(look: Look) -> Iterator[Finding]:
    """Ducts that are not joined here and closer than their pipes are wide; hoses give way and are left out."""
    passed: list[Pipe] = []
    found: list[tuple[int, int, int]] = []
    for pipe in sorted(pipes_of(look), key=lambda pipe: pipe.box.low[0]):
        passed = [other for other in passed if other.box.high[0] >= pipe.box.low[0]]
        for other in passed:
            if overlap(other.box, pipe.box):
                first, second = (pipe, other) if pipe.at < other.at else (other, pipe)
                piece = _collision(look, first, second)
                if piece is not None:
                    found.append((second.at, first.at, piece))
        passed.append(pipe)
    for crossing, crossed, piece in sorted(found):
        text = f"runs into {look.design.runs[crossed].id}: their pipes would be in one place"
        yield finding(look, "ducts-cross", "note", look.piece_at(look.design.runs[crossing].id, piece), text)


@kept(WHOLES)
def pipes_of(look: Look) -> tuple[Pipe, ...]:
    """The pipes of all runs that have a place, in file order."""
    placed = ((i, run, look.space.ways[run.id]) for i, run in enumerate(look.design.runs))
    radii = ((i, run, way, outer_radius(run, look.sizes)) for i, run, way in placed)
    return tuple([Pipe(i, run, way, radius, wider(way.box, radius)) for i, run, way, radius in radii if way.box])


def _collision(look: Look, one: Pipe, other: Pipe) -> int | None:
    """The first piece of the second duct that the first one is in the way of, at a place where the way along the ducts between them is long."""
    far = _PARTING * (one.radius + other.radius)
    near = _near_places(one.run, one.way.lay, other.run, other.way.lay, one.radius + other.radius, *_apart(one, other))
    return next((piece for piece, along, its in near if _walk(look, one.run, along, other.run, its) > far), None)


def _apart(one: Pipe, other: Pipe) -> Point:
    """From where one duct begins to where another does: the same figures for ducts that join as they did, wherever they hang."""
    if one.run.joins == other.run.joins:
        return ORIGIN
    if other.run.joins == one.run.id:
        return one.way.lay.end
    if one.run.joins == other.run.id:
        return moved(ORIGIN, other.way.lay.end, -1.0)
    return moved(other.way.start or ORIGIN, one.way.start or ORIGIN, -1.0)


@kept(ROWS)
def _near_places(
    one: Run, lay: Lay, other: Run, its_lay: Lay, reach: float, east: float, north: float, up: float
) -> tuple[tuple[int, float, float], ...]:
    """(piece of the second duct, how far along the first, how far along the second) of every place where lines of two ducts are too near, m.

    The second begins so far east, north and up of the first.
    """
    if lay.box is None or its_lay.box is None:
        return ()
    apart = east, north, up
    around = shifted(wider(its_lay.box, reach), apart)
    near = [(line, wider(line.box, reach)) for line in lay.lines if overlap(line.box, around) and _rigid(one, line)]
    its_lines = [line.from_point(apart) for line in its_lay.lines if _rigid(other, line)] if near else []
    pairs = ((mine, its) for its in its_lines for mine, box in near if overlap(box, its.box))
    return tuple([(its.piece, *along) for mine, its in pairs if (along := _too_near(mine, its, reach))])


def _rigid(run: Run, line: Line) -> bool:
    return not isinstance(run.pieces[line.piece], Hose)


def _too_near(mine: Line, its: Line, reach: float) -> tuple[float, float] | None:
    """How far along their runs two lines come nearest, m; None where they are `reach` apart there."""
    s, t = nearest(mine.start, mine.end, its.start, its.end)
    p, q = moved(mine.start, _from(mine.start, mine.end), s), moved(its.start, _from(its.start, its.end), t)
    return None if dist(p, q) > reach - _TOUCHING else (mine.begins + dist(mine.start, p), its.begins + dist(its.start, q))


def _from(a: Point, b: Point) -> Point:
    return moved(b, a, -1.0)


def _walk(look: Look, run: Run, along: float, other: Run, other_along: float) -> float:
    """About how long the way along the ducts is between two points, each so far along its run, m."""
    if run.joins == other.joins:
        return along + other_along
    if other.joins == run.id:
        return look.space.ways[run.id].length - along + other_along
    mine, its = _inward(look, run, along), _inward(look, other, other_along)
    return min(length + its[joint] for joint, length in mine.items() if joint in its)


def _inward(look: Look, run: Run, along: float) -> dict[str, float]:
    """Length of the way from a point to the outer ends of its run and of each run between it and the collector."""
    found = {run.id: look.space.ways[run.id].length - along}
    while run.joins in look.runs:
        run = look.runs[run.joins]
        found[run.id] = along
        along += look.space.ways[run.id].length
    return found | {"collector": along}
