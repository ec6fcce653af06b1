"""Findings from the room about people and machines: headroom, gates out of reach, bodies in the way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import dist
from typing import TYPE_CHECKING

from engine.checks.look import Look
from engine.checks.one_run import Made, of_hung, outer_radius
from engine.checks.rules import Finding, finding, limit
from engine.design import Gate, Hose, bore_of, defaults
from engine.design.places import COLLECTOR, MachineAt, Place
from engine.shapes.clearance import Box, enters, inside, overlap, wider
from engine.shapes.vectors import Point
from engine.space.geometry import Gap, Way
from engine.space.on_floor import body_of

if TYPE_CHECKING:
    from engine.space.room import Room

_TOUCHING = 1e-6
# A line is level whose slope is less than this sine.
_LEVEL = 0.25


@of_hung
def headroom(made: Made, way: Way, _gap: Gap | None) -> Iterator[Finding]:
    """Level ducts that hang where people walk, lower than the height to keep free; but for the straight that the collector's inlet wants."""
    site, pieces = made.ground.site, made.run.pieces
    wanted = (site.headroom or defaults.HEADROOM).si
    if len(site.room) < 3 or site.mains == "under benches" or way.box is None or way.box.low[2] - made.radius >= wanted:
        return
    from engine.space.room import room_of  # with NumPy, slow to load: not before something hangs low

    beside, least = (limit(made.ground, "headroom", name) for name in ("beside", "length"))
    at_inlet = limit(made.ground, "inlet-elbow", "bores") * bore_of(made.run, made.ground.sizes) if made.run.joins == "collector" else 0.0
    for turn in way.turns:
        wanted_straight, at_inlet = at_inlet, max(at_inlet - turn.length, 0.0)
        if isinstance(pieces[turn.piece], Hose) or turn.length - wanted_straight < least:
            continue
        for line, (a, b) in enumerate(pairwise(turn.points)):
            if abs(b[2] - a[2]) < _LEVEL * dist(a, b):
                ends = way.stretches[turn.piece].points[line : line + 2]
                low = min(end[2] for end in ends) - made.radius
                if low < wanted - _TOUCHING and _in_the_open(room_of(site), ends, beside):
                    told, height = made.show(low, "length"), made.show(wanted, "length")
                    text = f"hangs {told} above the floor where people walk, lower than {height}"
                    yield finding(made, "headroom", "caution", made.place(turn.piece), text, by="beside")


def _in_the_open(room: Room, ends: Sequence[Point], beside: float) -> bool:
    """Whether the middle of a line stands farther than `beside` m from every wall."""
    a, b = ends
    return room.holds(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), beside)


@of_hung
def out_of_reach(made: Made, way: Way, _gap: Gap | None) -> Iterator[Finding]:
    """Gates that nobody reaches from the floor."""
    most = limit(made.ground, "out-of-reach", "height")
    for i, piece in enumerate(made.run.pieces):
        if isinstance(piece, Gate) and (at := way.begins(i)) and at[2] > most + _TOUCHING:
            text = f"its gate is {made.show(at[2], 'length')} above the floor, out of hand's reach at {made.show(most, 'length')}"
            yield finding(made, "out-of-reach", "note", made.place(i), text, by="height")


def machine_in_the_way(look: Look) -> Iterator[Finding]:
    """Ducts that run into the body of a machine they do not lead to, or into that of the collector."""
    for place, name, box in _bodies(look):
        for run in look.design.runs:
            way = look.space.ways[run.id]
            own = (place == COLLECTOR and run.joins == "collector") or (run.ends or "").split("/")[0] == name
            wide = wider(box, outer_radius(run, look.sizes) - _TOUCHING)
            if own or way.box is None or not overlap(way.box, wide):
                continue
            line = next((line for line in way.lines if overlap(line.box, wide) and enters(line.start, line.end, wide)), None)
            if line and not isinstance(run.pieces[line.piece], Hose):
                text = f"runs into {'the collector' if place == COLLECTOR else name}: that takes the room there"
                yield finding(look, "machine-in-the-way", "caution", look.piece_at(run.id, line.piece), text)


def outside_body(look: Look) -> Iterator[Finding]:
    """Machines and a collector whose bodies reach through a wall, or into each other."""
    corners = [(corner.east.si, corner.north.si) for corner in look.design.site.room]
    bodies = list(_bodies(look))
    for i, (place, name, box) in enumerate(bodies):
        (west, south, _), (east, north, _) = box
        if corners and not all(inside(spot, corners) for spot in ((west, south), (west, north), (east, south), (east, north))):
            yield finding(look, "body-in-the-way", "caution", place, f"the body of {name} reaches through a wall")
        shrunk = wider(box, -_TOUCHING)
        if met := [other for _, other, its in bodies[:i] if overlap(shrunk, its)]:
            yield finding(look, "body-in-the-way", "caution", place, f"the body of {name} is in that of {met[0]}")


def _bodies(look: Look) -> Iterator[tuple[Place, str, Box]]:
    """The machines and the collector that say how large they are, and how high."""
    for i, machine in enumerate(look.design.machines):
        if machine.size.up and (box := body_of(machine)):
            yield MachineAt(i), machine.id, box
    if look.design.collector.size.up and (box := body_of(look.design.collector)):
        yield COLLECTOR, "the collector", box


ROOM_CHECKS = (headroom, out_of_reach, machine_in_the_way, outside_body)
