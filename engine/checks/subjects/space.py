"""Findings from where the ducts are in space: the gaps at ports, the room, what stands in it, and each other."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import degrees, sin

from engine.checks.look import Look
from engine.checks.one_run import Made, of_gaps, of_hung, outer_radius
from engine.checks.rules import Finding, Measure, Severity, finding, limit
from engine.checks.subjects.crossing import Pipe, ducts_cross, pipes_of
from engine.design import Cleanout, Gate, Hose, Run, Zone, defaults, joins_as
from engine.design.meaning import beyond
from engine.design.model import in_the_way
from engine.design.places import COLLECTOR, Place
from engine.shapes.clearance import Box, Spot, box_of, cross, enters, inside, overlap, sides, wider, within
from engine.shapes.vectors import Point
from engine.space.geometry import Gap, Way
from engine.space.lay import Line

# Where the room has no ceiling that is known.
_SKY = 1e6
_TOUCHING = 1e-6
# A line is level whose slope is less than this sine, and leads up or down by more than this height, m.
_LEVEL, _STEP = 0.25, 0.1


@of_gaps
def hose_short(made: Made, gap: Gap) -> Iterator[Finding]:
    """Pipes that end farther from their port than their hose is long."""
    spare = limit(made.ground, "hose-short", "spare")
    wanting = gap.distance - gap.hose
    if wanting > (_TOUCHING if gap.hose else spare):
        severity: Severity = "caution"
        away = made.show(gap.distance, "length")
        if gap.hose:
            if wanting > spare and _has_its_place(made):
                severity = "fault"
            text = f"ends {away} from its port, its hose is {made.show(gap.hose, 'length')}: {made.show(wanting, 'length')} wanting"
        else:
            text = f"ends {away} from its port, without a hose"
        measure = Measure(gap.distance, gap.hose, "length", away)
        yield finding(made, "hose-short", severity, made.place(_hose_of(made.run)), text, measure=measure)


def _has_its_place(made: Made) -> bool:
    """Whether the port a run ends at is its machine's first, whose place is the machine's, or has a position of its own."""
    machine, port = made.machine, made.port
    return machine is not None and port is not None and (port is machine.ports[0] or any((port.east, port.north, port.up)))


@of_gaps
def bent_hose(made: Made, gap: Gap) -> Iterator[Finding]:
    """Hoses that must turn further to their port than they are said to be bent."""
    at = _hose_of(made.run)
    hose = made.run.pieces[at] if at is not None else None
    if gap.hose and isinstance(hose, Hose):
        said = hose.bend.si if hose.bend else 0.0
        if gap.bends > said + limit(made.ground, "bent-hose", "spare"):
            measure = Measure(gap.bends, said, "angle", f"{degrees(gap.bends):.0f} deg")
            text = f"turns {measure.told} to its port, counted with a bend of {degrees(said):.0f} deg"
            yield finding(made, "bent-hose", "note", made.place(at), text, measure=measure)


def _hose_of(run: Run) -> int | None:
    """Index of a run's last hose."""
    return next((i for i in reversed(range(len(run.pieces))) if isinstance(run.pieces[i], Hose)), None)


def bottom_entry(look: Look) -> Iterator[Finding]:
    """Branches that leave a level run downward and have a gate: what has none draws with the run, and is never idle."""
    steep = sin(limit(look.design, "bottom-entry", "steep")) + _TOUCHING
    for run in look.design.runs:
        way = look.space.ways[run.id]
        main = look.space.ways[run.joins].leaves if joins_as(run) == "branch" else None
        if main and way.heading and abs(main[2]) < _LEVEL and way.heading[2] < -steep and _has_gate(look, run):
            text = f"leaves {run.joins} from below: chips fall into it while it is shut"
            yield finding(look, "bottom-entry", "caution", look.runs_at[run.id], text)


def _has_gate(look: Look, run: Run) -> bool:
    """Whether a run or one beyond it holds a gate."""
    return any(isinstance(piece, Gate) for held in (run, *beyond(look.design, run.id)) for piece in held.pieces)


def low_point(look: Look) -> Iterator[Finding]:
    """Places where a way leads down and then up again, with no lid near the bottom."""
    near = limit(look.design, "no-cleanout", "near")
    told: set[tuple[str, int]] = set()
    waiting: list[tuple[Run, tuple[str, int] | None, float]] = [(run, None, near) for run in look.children["collector"]]
    while waiting:
        run, low, from_lid = waiting.pop()
        for stretch in look.space.ways[run.id].turns:
            piece, rise = run.pieces[stretch.piece], stretch.end[2] - stretch.start[2]
            if isinstance(piece, Cleanout):
                from_lid = 0.0
            elif isinstance(piece, Hose):
                low = None
            elif rise < -_STEP:
                low = (run.id, stretch.piece)
            elif rise > _STEP and low:
                if from_lid >= near and low not in told:
                    text = "leads down here and then up again, without a cleanout: chips gather at the bottom"
                    yield finding(look, "no-cleanout", "caution", look.piece_at(*low), text, by="near")
                told.add(low)
                low = None
            from_lid += stretch.length
        waiting += ((child, low, from_lid) for child in look.children[run.id])


# ---- the room


@of_hung
def too_high(made: Made, way: Way, _gap: Gap | None) -> Iterator[Finding]:
    """Ducts that reach above the ceiling."""
    height, radius, box = made.ground.site.height, made.radius, way.box
    if height and box and box.high[2] + radius > height.si + _TOUCHING:
        tops = ((max(point[2] for point in stretch.points) + radius, stretch.piece) for stretch in way.stretches)
        top, piece = next(row for row in tops if row[0] > height.si + _TOUCHING)
        measure = Measure(top, height.si, "length", made.show(top, "length"))
        text = f"reaches {measure.told} above the floor, the ceiling is at {made.show(height.si, 'length')}"
        yield finding(made, "too-high", "fault", made.place(piece), text, measure=measure)


def through_wall(look: Look) -> Iterator[Finding]:
    """Ducts that leave the room, or lie outside it."""
    corners = [(corner.east.si, corner.north.si) for corner in look.design.site.room]
    walls = [(a, b, wider(box_of((*a, 0.0), (*b, 0.0)), _TOUCHING)) for a, b in sides(corners)]
    for run in look.design.runs if walls else ():
        box = look.space.ways[run.id].box
        if box:
            flat = Box((*box.low[:2], 0.0), (*box.high[:2], 0.0))
            near = [(a, b) for a, b, its in walls if overlap(its, flat)]
            if near or not within(box.low[:2], corners):
                yield from _out_of(look, run, corners, near)


def _out_of(look: Look, run: Run, corners: list[Spot], walls: list[tuple[Spot, Spot]]) -> Iterator[Finding]:
    """The first piece of a run that is outside, or goes through one of these walls."""
    for stretch in look.space.ways[run.id].stretches:
        spots = [point[:2] for point in stretch.points]
        outside = not all(inside(spot, corners) for spot in spots)
        if outside or any(cross(a, b, *wall) for a, b in pairwise(spots) for wall in walls):
            astray = not inside(spots[0], corners)
            text = "lies outside the walls" if astray else "leads through a wall"
            severity: Severity = "fault" if astray and look.served[run.id] and _starts_inside(look, corners) else "note"
            yield finding(look, "through-wall", severity, look.piece_at(run.id, stretch.piece), text)
            return


def _starts_inside(look: Look, corners: list[Spot]) -> bool:
    """Whether the collector stands in the room: what leads to one outside lies outside too."""
    first = next(iter(look.children["collector"]), None)
    start = look.space.ways[first.id].start if first else None
    return look.space.placed and start is not None and inside(start[:2], corners)


def outside_walls(look: Look) -> Iterator[Finding]:
    """Ports and a collector that stand outside the room."""
    corners = [(corner.east.si, corner.north.si) for corner in look.design.site.room]
    if not corners:
        return
    standing: dict[Place, Point] = {look.ports_at[name]: at for name, at in look.space.ports.items()}
    first = next(iter(look.children["collector"]), None)
    if look.space.placed and first and (inlet := look.space.ways[first.id].start):
        standing[COLLECTOR] = inlet
    for place, at in standing.items():
        if not inside(at[:2], corners):
            yield finding(look, "outside-walls", "note", place, "stands outside the walls of the room")


def through_zone(look: Look) -> Iterator[Finding]:
    """Ducts in the way of a post, a door or a place to keep clear."""
    height, zones = look.design.site.height, in_the_way(look.design.site.zones)
    pipes = pipes_of(look) if zones else ()
    for zone in zones:
        box = _zone_box(zone, height.si if height else _SKY)
        for pipe in pipes:
            line = _line_in(box, pipe) if overlap(box, pipe.box) else None
            if line:
                yield finding(look, "through-zone", "caution", look.piece_at(pipe.run.id, line.piece), _in_the_way(look, pipe.run, zone, line))


def _line_in(box: Box, pipe: Pipe) -> Line | None:
    """The first line of a duct that is in a box."""
    wide = wider(box, pipe.radius - _TOUCHING)
    return next((line for line in pipe.way.lines if overlap(line.box, wide) and enters(line.start, line.end, wide)), None)


def _zone_box(zone: Zone, ceiling: float) -> Box:
    low, high = zone.bottom.si if zone.bottom else 0.0, zone.top.si if zone.top else ceiling
    return Box((zone.west.si, zone.south.si, low), (zone.east.si, zone.north.si, high))


def _in_the_way(look: Look, run: Run, zone: Zone, line: Line) -> str:
    if zone.kind == "door":
        lowest = look.show(max(line.box.low[2] - outer_radius(run, look.sizes), 0.0), "length")
        top = f", lower than its top at {look.show(zone.top.si, 'length')}" if zone.top else ""
        return f"passes the door {zone.name} {lowest} above the floor{top}"
    told = {"post": "runs into the post", "bench": "runs into the bench", "window": "passes before the window", "open door": "is where a door opens:"}
    kind = zone.kind or defaults.ZONE_KIND
    return f"{told[kind]} {zone.name}" if kind in told else f"passes {zone.name}, which is to be kept clear"


SPACE_CHECKS = (hose_short, bent_hose, bottom_entry, low_point, too_high, through_wall, outside_walls, through_zone, ducts_cross)
