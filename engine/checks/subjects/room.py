"""Findings from the room about people and machines: headroom, gates out of reach, bodies in the way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import dist

from engine.checks.look import Look
from engine.checks.one_run import Hung, Made, corners_of, of_hung
from engine.checks.rules import Finding, finding, limit
from engine.checks.shop import Shop, of_shop
from engine.design import Design, Hose, Site, bore_of, defaults
from engine.design.kept import ROWS, kept
from engine.design.places import COLLECTOR, MachineAt, Place
from engine.shapes.clearance import Box, enters, holds, inside, overlap, wider
from engine.shapes.vectors import Point
from engine.space.lay import Lay
from engine.space.on_floor import body_of

_TOUCHING = 1e-6
# A line is level whose slope is less than this sine.
_LEVEL = 0.25


@of_hung
def headroom(hung: Hung) -> Iterator[Finding]:
    """Level ducts that hang where people walk, lower than the height to keep free; but for the straight that the collector's inlet wants."""
    made, way, site = hung.made, hung.way, hung.made.ground.site
    wanted = (site.headroom or defaults.HEADROOM).si
    if way.start is None or hung.box is None or hung.box.low[2] >= wanted or len(site.room) < 3 or site.mains == "under benches":
        return
    for piece, line, height in _level_lines(made, way.lay):
        low = way.start[2] + height - made.radius
        if low < wanted - _TOUCHING and _in_the_open(site, way.stretches[piece].points[line : line + 2], limit(made.ground, "headroom", "beside")):
            told, height_told = made.show(low, "length"), made.show(wanted, "length")
            text = f"hangs {told} above the floor where people walk, lower than {height_told}"
            yield finding(made, "headroom", "caution", made.place(piece), text, by="beside")


@kept(ROWS)
def _level_lines(made: Made, lay: Lay) -> tuple[tuple[int, int, float], ...]:
    """(piece, which of its lines, how high above the start of the run) of the level lines of pipe that are long enough to walk into."""
    found = list[tuple[int, int, float]]()
    least, bore = limit(made.ground, "headroom", "length"), bore_of(made.run, made.ground.sizes)
    at_inlet = limit(made.ground, "inlet-elbow", "bores") * bore if made.run.joins == "collector" else 0.0
    for stretch in lay.stretches:
        wanted_straight, at_inlet = at_inlet, max(at_inlet - stretch.length, 0.0)
        if not isinstance(made.run.pieces[stretch.piece], Hose) and stretch.length - wanted_straight >= least:
            lines = enumerate(pairwise(stretch.points))
            found += [(stretch.piece, line, min(a[2], b[2])) for line, (a, b) in lines if abs(b[2] - a[2]) < _LEVEL * dist(a, b)]
    return tuple(found)


def _in_the_open(site: Site, ends: Sequence[Point], beside: float) -> bool:
    """Whether the middle of a line stands farther than `beside` m from every wall."""
    a, b = ends
    corners = [(corner.east.si, corner.north.si) for corner in site.room]
    return holds(corners, ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), beside)


@of_hung
def out_of_reach(hung: Hung) -> Iterator[Finding]:
    """Gates that nobody reaches from the floor."""
    for i in hung.made.gates:
        if at := hung.way.begins(i):
            yield from _out_of_reach(hung.made, i, at[2])


@kept(ROWS)
def _out_of_reach(made: Made, gate: int, height: float) -> tuple[Finding, ...]:
    most = limit(made.ground, "out-of-reach", "height")
    if height <= most + _TOUCHING:
        return ()
    text = f"its gate is {made.show(height, 'length')} above the floor, out of hand's reach at {made.show(most, 'length')}"
    return (finding(made, "out-of-reach", "note", made.place(gate), text, by="height"),)


def machine_in_the_way(look: Look) -> Iterator[Finding]:
    """Ducts that run into the body of a machine they do not lead to, or into that of the collector."""
    for place, name, box in _bodies(look.design):
        for hung in look.hung:
            run = hung.made.run
            own = (place == COLLECTOR and run.joins == "collector") or (run.ends or "").split("/")[0] == name
            if own or hung.box is None or not overlap(hung.box, box):
                continue
            wide = wider(box, hung.made.radius - _TOUCHING)
            line = next((line for line in hung.way.lines_near(wide) if enters(line.start, line.end, wide)), None)
            if line and not isinstance(run.pieces[line.piece], Hose):
                text = f"runs into {'the collector' if place == COLLECTOR else name}: that takes the room there"
                yield finding(look, "machine-in-the-way", "caution", look.piece_at(run.id, line.piece), text)


@of_shop
def outside_body(shop: Shop) -> Iterator[Finding]:
    """Machines and a collector whose bodies reach through a wall, or into each other."""
    corners = corners_of(shop.design.site)
    bodies = list(_bodies(shop.design))
    for i, (place, name, box) in enumerate(bodies):
        (west, south, _), (east, north, _) = box
        if corners and not all(inside(spot, corners) for spot in ((west, south), (west, north), (east, south), (east, north))):
            yield finding(shop, "body-in-the-way", "caution", place, f"the body of {name} reaches through a wall")
        shrunk = wider(box, -_TOUCHING)
        if met := [other for _, other, its in bodies[:i] if overlap(shrunk, its)]:
            yield finding(shop, "body-in-the-way", "caution", place, f"the body of {name} is in that of {met[0]}")


def _bodies(design: Design) -> Iterator[tuple[Place, str, Box]]:
    """The machines and the collector that say how large they are, and how high."""
    for i, machine in enumerate(design.machines):
        if machine.size.up and (box := body_of(machine)):
            yield MachineAt(i), machine.id, box
    if design.collector.size.up and (box := body_of(design.collector)):
        yield COLLECTOR, "the collector", box


ROOM_CHECKS = (headroom, out_of_reach, machine_in_the_way, outside_body)
