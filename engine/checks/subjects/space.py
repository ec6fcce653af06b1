"""Findings from where the ducts are in space: the gaps at ports, the room, what stands in it, and each other."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import degrees, sin
from operator import itemgetter

from engine.checks.look import Look
from engine.checks.one_run import Hung, Made, corners_of, of_hung
from engine.checks.rules import Finding, Measure, Severity, finding, limit
from engine.checks.shop import Shop, of_shop
from engine.checks.subjects.crossing import ducts_cross
from engine.design import Cleanout, Gate, Hose, Run, Zone, defaults, joins_as
from engine.design.kept import ROWS, kept
from engine.design.meaning import beyond
from engine.design.places import COLLECTOR, Place
from engine.shapes.clearance import Box, cross, enters, inside, overlap, wider, within
from engine.shapes.vectors import Point
from engine.space.geometry import port_places, position_of
from engine.space.lay import Lay, Line

_TOUCHING = 1e-6
# A line is level whose slope is less than this sine, and leads up or down by more than this height, m.
_LEVEL, _STEP = 0.25, 0.1


@of_hung
def hose_short(hung: Hung) -> Iterator[Finding]:
    """Pipes that end farther from their port than their hose is long."""
    made, gap = hung.made, hung.gap
    if gap is None:
        return
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
        yield finding(made, "hose-short", severity, made.place(made.hoses[-1][0] if made.hoses else None), text, measure=measure)


def _has_its_place(made: Made) -> bool:
    """Whether the port a run ends at is its machine's first, whose place is the machine's, or has a position of its own."""
    machine, port = made.machine, made.port
    return machine is not None and port is not None and (port is machine.ports[0] or any((port.east, port.north, port.up)))


@of_hung
def bent_hose(hung: Hung) -> Iterator[Finding]:
    """Hoses that must turn further to their port than they are said to be bent."""
    made, gap = hung.made, hung.gap
    if gap and gap.hose and made.hoses:
        at, hose = made.hoses[-1]
        said = hose.bend.si if hose.bend else 0.0
        if gap.bends > said + limit(made.ground, "bent-hose", "spare"):
            measure = Measure(gap.bends, said, "angle", f"{degrees(gap.bends):.0f} deg")
            text = f"turns {measure.told} to its port, counted with a bend of {degrees(said):.0f} deg"
            yield finding(made, "bent-hose", "note", made.place(at), text, measure=measure)


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
        slopes, length = _slopes(run, look.space.ways[run.id].lay)
        for piece, leads, along in slopes:
            if leads == "lid":
                from_lid = -along
            elif leads == "down":
                low = (run.id, piece)
            elif leads == "up" and low:
                if from_lid + along >= near - _TOUCHING and low not in told:
                    text = "leads down here and then up again, without a cleanout: chips gather at the bottom"
                    yield finding(look, "no-cleanout", "caution", look.piece_at(*low), text, by="near")
                told.add(low)
                low = None
            elif leads == "hose":
                low = None
        waiting += [(child, low, from_lid + length) for child in look.children[run.id]]


@kept(ROWS)
def _slopes(run: Run, lay: Lay) -> tuple[list[tuple[int, str, float]], float]:
    """(piece, what is there or where it leads going outward, how far along it begins) of all of a run that is not level, and how long the run is, m.

    A hose led to its port is left out: nothing follows it.
    """
    found, along = list[tuple[int, str, float]](), 0.0
    for stretch in lay.stretches:
        piece, rise = run.pieces[stretch.piece], stretch.end[2] - stretch.start[2]
        if isinstance(piece, (Cleanout, Hose)) or abs(rise) > _STEP:
            leads = "lid" if isinstance(piece, Cleanout) else "hose" if isinstance(piece, Hose) else "down" if rise < 0.0 else "up"
            found.append((stretch.piece, leads, along))
        along += stretch.length
    return found, along


# ---- the room


@of_hung
def too_high(hung: Hung) -> Iterator[Finding]:
    """Ducts that reach above the ceiling."""
    made, box = hung.made, hung.box
    height = made.ground.site.height
    if height and box and box.high[2] > height.si + _TOUCHING:
        tops = ((max(point[2] for point in stretch.points) + made.radius, stretch.piece) for stretch in hung.way.stretches)
        top, piece = next(row for row in tops if row[0] > height.si + _TOUCHING)
        measure = Measure(top, height.si, "length", made.show(top, "length"))
        text = f"reaches {measure.told} above the floor, the ceiling is at {made.show(height.si, 'length')}"
        yield finding(made, "too-high", "fault", made.place(piece), text, measure=measure)


def through_wall(look: Look) -> Iterator[Finding]:
    """Ducts that leave the room, or lie outside it."""
    for place, run, outside in _astray(look):
        severity: Severity = "fault" if outside and look.served[run] and _starts_inside(look) else "note"
        yield finding(look, "through-wall", severity, place, "lies outside the walls" if outside else "leads through a wall")


@of_hung
def _astray(hung: Hung) -> Iterator[tuple[Place, str, bool]]:
    """The first piece of a run that is outside the room or goes through one of its walls, the run, and whether the piece begins outside."""
    box, corners, walls = hung.box, hung.made.ground.corners, hung.made.ground.walls
    if box is None or not walls:
        return
    (west, south, _), (east, north, _) = box
    near = [(a, b) for a, b, w, s, e, n in walls if w <= east and west <= e and s <= north and south <= n]
    if not near and within((west, south), corners):
        return
    for stretch in hung.way.stretches:
        spots = [point[:2] for point in stretch.points]
        if not all(inside(spot, corners) for spot in spots) or any(cross(a, b, *wall) for a, b in pairwise(spots) for wall in near):
            yield hung.made.place(stretch.piece), hung.made.run.id, not inside(spots[0], corners)
            return


def _starts_inside(look: Look) -> bool:
    """Whether the collector stands in the room: what leads to one outside lies outside too."""
    inlet = position_of(look.design.collector)
    return inlet is not None and inside(inlet[:2], corners_of(look.design.site))


def outside_walls(look: Look) -> Iterator[Finding]:
    """Ports and a collector that stand outside the room; the collector of a shop without ducts may stand anywhere."""
    yield from (found for found in _standing_outside(look) if look.design.runs or found.place != COLLECTOR)


@of_shop
def _standing_outside(shop: Shop) -> Iterator[Finding]:
    corners = corners_of(shop.design.site)
    standing: dict[Place, Point] = {shop.ports_at[name]: at for name, at in port_places(shop.design).items()}
    if inlet := position_of(shop.design.collector):
        standing[COLLECTOR] = inlet
    for place, at in standing.items() if corners else ():
        if not inside(at[:2], corners):
            yield finding(shop, "outside-walls", "note", place, "stands outside the walls of the room")


def through_zone(look: Look) -> Iterator[Finding]:
    """Ducts in the way of a post, a door or a place to keep clear."""
    yield from (found for _, found in sorted(_in_zones(look), key=itemgetter(0)))


@of_hung
def _in_zones(hung: Hung) -> Iterator[tuple[int, Finding]]:
    """The zones that a run is in, by their positions."""
    made, box = hung.made, hung.box
    if box is None:
        return
    for at, (zone, its) in enumerate(made.ground.zones):
        if overlap(its, box) and (line := _line_in(its, hung)):
            yield at, finding(made, "through-zone", "caution", made.place(line.piece), _in_the_way(made, zone, line))


def _line_in(box: Box, hung: Hung) -> Line | None:
    """The first line of a duct that is in a box."""
    wide = wider(box, hung.made.radius - _TOUCHING)
    return next((line for line in hung.way.lines_near(wide) if enters(line.start, line.end, wide)), None)


def _in_the_way(made: Made, zone: Zone, line: Line) -> str:
    if zone.kind == "door":
        lowest = made.show(max(line.box.low[2] - made.radius, 0.0), "length")
        top = f", lower than its top at {made.show(zone.top.si, 'length')}" if zone.top else ""
        return f"passes the door {zone.name} {lowest} above the floor{top}"
    told = {"post": "runs into the post", "bench": "runs into the bench", "window": "passes before the window", "open door": "is where a door opens:"}
    kind = zone.kind or defaults.ZONE_KIND
    return f"{told[kind]} {zone.name}" if kind in told else f"passes {zone.name}, which is to be kept clear"


SPACE_CHECKS = (hose_short, bent_hose, bottom_entry, low_point, too_high, through_wall, outside_walls, through_zone, ducts_cross)
