"""What a branch to a machine is likely to be where nobody said: from the joint toward the port, down to it, and a hose."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

from engine.design import Design, Elbow, Gate, Hose, Piece, Run, system
from engine.design.names import fresh_name
from engine.shapes.vectors import WAYS, Point, dot, moved
from engine.space.geometry import port_places, space_of
from engine.survey.walked_pieces import straight_of
from engine.units import parse

# Common practice, no source: a hose of 0.6 m, no straight of less than 0.1 m.
_HOSE, _LEAST = parse("0.6 m", "length"), 0.1
_ALONG = 0.9  # two ways of which the one leads this much along the other are one way
_LEVEL = ("north", "east", "south", "west")


def way_to(design: Design, run: str, port: str | None) -> str | None:
    """The level way off the one a run heads in that leads from its end toward a port; None where one of them has no place."""
    way, at = space_of(design).ways[run], port_places(design).get(port or "")
    end, heads = way.end, way.leaves
    if end is None or heads is None or at is None or design.collector.east is None:
        return None
    off = [known for known in _LEVEL if abs(dot(WAYS[known], heads)) < _ALONG]
    return max(off, key=lambda known: _along(WAYS[known], end, at))


def _along(way: Point, start: Point, end: Point) -> float:
    return dot(way, moved(end, start, -1.0))


def guessed_drop(design: Design, run: Run) -> tuple[Piece, ...]:
    """A gate, level pipe, an elbow down, pipe and a hose to the port; none where that cannot be told from positions."""
    if run.toward not in _LEVEL or run.ends is None:
        return ()
    target = port_places(design).get(run.ends)
    if target is None or design.collector.east is None or space_of(design).ways[run.id].start is None:
        return ()
    units, gates = system(design), {piece.name for other in design.runs for piece in other.pieces if isinstance(piece, Gate)}
    gate = Gate(name=fresh_name(f"{run.ends.split('/')[0]} gate", gates))
    turn = Elbow(angle=parse("45 deg", "angle"), toward=run.toward)
    down = Elbow(angle=parse("90 deg", "angle"), toward="down")
    level = fall = _LEAST
    missed = 0.0
    for _ in range(2):  # lengths add up straight: laid once, corrected once
        pieces = (gate, turn, straight_of(level, units), down, straight_of(fall, units))
        tried = replace(design, runs=tuple(replace(run, pieces=pieces, ends=None) if other.id == run.id else other for other in design.runs))
        end = space_of(tried).ways[run.id].end
        if end is None:
            return ()
        level = max(level + _along(WAYS[run.toward], end, target), _LEAST)
        fall = max(fall + end[2] - target[2] - _HOSE.si / 2, _LEAST)
        missed = hypot(end[0] - target[0], end[1] - target[1])
    hose = max(_HOSE.si, round(missed + 0.3, 1))
    made = straight_of(hose, units).length
    return (gate, turn, straight_of(level, units), down, straight_of(fall, units), Hose(length=made))
