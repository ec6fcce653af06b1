"""Findings from where the ducts are against each other: pipes in one place."""

from __future__ import annotations

from collections.abc import Iterator
from math import dist, inf

from engine.checks.look import Look
from engine.checks.one_run import Hung, Made
from engine.checks.rules import Finding, finding
from engine.design import Hose, Run
from engine.design.kept import ROWS, kept
from engine.design.places import PieceAt
from engine.shapes.clearance import Box, nearest, overlap, shifted, wider
from engine.shapes.vectors import Point, moved
from engine.space.lay import ORIGIN, Lay, Line

_TOUCHING = 1e-6
# Two ducts that part at a joint are apart when the way between them is this many times their radii together.
_PARTING = 6.0


def ducts_cross(look: Look) -> Iterator[Finding]:
    """Ducts that are not joined here and closer than their pipes are wide; hoses give way and are left out."""
    passed: list[tuple[Box, Hung]] = []
    found: list[tuple[int, int, int]] = []
    for west, _, box, hung in sorted([(hung.box.low[0], hung.made.at, hung.box, hung) for hung in look.hung if hung.box]):
        passed = [row for row in passed if row[0].high[0] >= west]
        for other in [other for its, other in passed if overlap(its, box)]:
            first, second = (hung, other) if hung.made.at < other.made.at else (other, hung)
            piece = _collision(look, first, second)
            if piece is not None:
                found.append((second.made.at, first.made.at, piece))
        passed.append((box, hung))
    for crossing, crossed, piece in sorted(found):
        text = f"runs into {look.design.runs[crossed].id}: their pipes would be in one place"
        yield finding(look, "ducts-cross", "note", PieceAt(crossing, piece), text)


def _collision(look: Look, one: Hung, other: Hung) -> int | None:
    """The first piece of the second duct that the first one is in the way of, at a place where the way along the ducts between them is long."""
    near = _near_places(one.made, one.way.lay, other.made, other.way.lay, _apart(one, other))
    far = _far(one.made, other.made)
    return next((piece for piece, along, its in near if _walk(look, one, along, other, its) > far), None) if near else None


def _far(one: Made, other: Made) -> float:
    """How long the way along the ducts is between two of their points that are apart, m."""
    return _PARTING * (one.radius + other.radius)


def _apart(one: Hung, other: Hung) -> Point:
    """From where one duct begins to where another does: the same object for ducts that join as they did, wherever they hang."""
    run, its = one.made.run, other.made.run
    if run.joins == its.joins:
        return ORIGIN
    if its.joins == run.id:
        return one.way.lay.end
    if run.joins == its.id:
        return _from(other.way.lay.end, ORIGIN)
    return _from(one.way.start or ORIGIN, other.way.start or ORIGIN)


@kept(ROWS)
def _near_places(one: Made, lay: Lay, other: Made, its_lay: Lay, apart: Point) -> tuple[tuple[int, float, float], ...]:
    """(piece of the second duct, how far along the first, how far along the second) of every place where lines of two ducts are too near, m.

    The second begins `apart` from the first. Where they meet at a joint, what is near that is left out.
    """
    if lay.box is None or its_lay.box is None:
        return ()
    reach, far = one.radius + other.radius, _far(one, other)
    around, back = shifted(wider(its_lay.box, reach), apart), moved(ORIGIN, apart, -1.0)
    mine_near = [line.from_point(back) for line in lay.lines if overlap(line.box, around) and _rigid(one, line)]
    near = [(line, wider(line.box, reach)) for line in mine_near]
    pairs = ((mine, its) for its in its_lay.lines for mine, box in near if overlap(box, its.box) and _rigid(other, its))
    places = ((its.piece, along) for mine, its in pairs if (along := _too_near(mine, its, reach)))
    return tuple([(piece, *along) for piece, along in places if _past_joint(one.run, lay, other.run, its_lay, *along) > far])


def _rigid(made: Made, line: Line) -> bool:
    return not isinstance(made.run.pieces[line.piece], Hose)


def _too_near(mine: Line, its: Line, reach: float) -> tuple[float, float] | None:
    """How far along their runs two lines come nearest, m; None where they are `reach` apart there."""
    s, t = nearest(mine.start, mine.end, its.start, its.end)
    p, q = moved(mine.start, moved(mine.end, mine.start, -1.0), s), moved(its.start, moved(its.end, its.start, -1.0), t)
    return None if dist(p, q) > reach - _TOUCHING else (mine.begins + dist(mine.start, p), its.begins + dist(its.start, q))


@kept(ROWS)
def _from(a: Point, b: Point) -> Point:
    return moved(b, a, -1.0)


def _walk(look: Look, one: Hung, along: float, other: Hung, other_along: float) -> float:
    """About how long the way along the ducts is between two points, each so far along its run, m."""
    past_joint = _past_joint(one.made.run, one.way.lay, other.made.run, other.way.lay, along, other_along)
    if past_joint < inf:
        return past_joint
    mine, its = _inward(look, one.made.run, along), _inward(look, other.made.run, other_along)
    return min(length + its[joint] for joint, length in mine.items() if joint in its)


def _past_joint(run: Run, lay: Lay, other: Run, its_lay: Lay, along: float, other_along: float) -> float:
    """The same for two ducts that meet at a joint; endless for others."""
    if run.joins == other.joins:
        return along + other_along
    if other.joins == run.id:
        return lay.length - along + other_along
    return its_lay.length - other_along + along if run.joins == other.id else inf


def _inward(look: Look, run: Run, along: float) -> dict[str, float]:
    """Length of the way from a point to the outer ends of its run and of each run between it and the collector."""
    found = {run.id: look.space.ways[run.id].length - along}
    while run.joins in look.runs:
        run = look.runs[run.joins]
        found[run.id] = along
        along += look.space.ways[run.id].length
    return found | {"collector": along}
