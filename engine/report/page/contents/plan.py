"""The ducts in their room as drawings: from above, and from the side that shows more."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import isfinite

from engine.design import Collector, Gate, Hose, Machine, Run, bore_of, stock_sizes
from engine.report.page import svg
from engine.report.page.blocks import Block, Drawing, Points, Words
from engine.report.page.job import Job
from engine.report.page.svg import Box, Name, Spot
from engine.shapes.vectors import Point
from engine.space.geometry import Way, position_of
from engine.space.on_floor import body_of
from engine.values import dataclass

_WIDTH, _HIGHEST = 700.0, 900.0
_EDGE = 36.0
_THINNEST = 2.5
_MARK = 4.0
_RULE = 16.0  # of the scale's bar, off the lower edge
# Lengths that a bar of the scale may stand for, m or ft.
_BARS = (0.5, 1, 2, 5, 10, 20, 50, 100)
_FOOT = 0.3048


@dataclass(frozen=True, slots=True)
class View:
    """How points of the room go onto a drawing.

    `across` and `up` [m] of a point, `low` the least of both, `scale` in units a metre, `left` where the drawing begins, its `height`.
    """

    across: Callable[[Point], float]
    up: Callable[[Point], float]
    low: Spot
    scale: float
    left: float
    height: float

    def at(self, point: Point) -> Spot:
        """Where a point is on the drawing."""
        return self.left + (self.across(point) - self.low[0]) * self.scale, self.height - _EDGE - (self.up(point) - self.low[1]) * self.scale


def plan(job: Job) -> Iterator[Block]:
    """The plan and the side view."""
    ways = {run: way for run, way in job.assessment.look.space.ways.items() if way.points}
    points = [*_points(job, ways)]
    if len(points) < 2:  # of one point nothing can be drawn
        yield Words("Nothing of this design has a place: there is no plan of it.")
        return
    yield from (Words(remark) for remark in _remarks(job, ways))
    above = _view(points, lambda point: point[0], lambda point: point[1])
    yield Drawing("From above, north is up", _drawn(job, ways, above, "plan", from_above=True), ("(drawn on the printed page)",))
    wide = max(p[0] for p in points) - min(p[0] for p in points) >= max(p[1] for p in points) - min(p[1] for p in points)
    side = _view(points, (lambda point: point[0]) if wide else (lambda point: point[1]), lambda point: point[2])
    title = "From the south, east is right" if wide else "From the east, north is right"
    yield Drawing(title, _drawn(job, ways, side, "side view", from_above=False), ("(drawn on the printed page)",))
    yield Points(
        (
            "Broad lines: pipe, to scale in length; dotted: hose; a bar across: a gate; a square: a machine's port; the large square: the collector.",
            "Walls, zones and the ground of machines are thin. Distances to work by stand in the setting out: measure nothing off these drawings.",
        )
    )


def _remarks(job: Job, ways: dict[str, Way]) -> Iterator[str]:
    """What is missing on the drawings."""
    lost = [run.id for run in job.design.runs if run.id not in ways or ways[run.id].lost is not None]
    if lost:
        yield f"Without a place, whole or in part, so not drawn beyond it: {', '.join(lost)}."
    nowhere = [machine.id for machine in job.design.machines if not any(_ports(job, machine.id))]
    if nowhere:
        yield f"Machines without a place: {', '.join(nowhere)}."


def _ports(job: Job, machine: str) -> Iterator[Point]:
    """Where a machine's ports are; of those that have no place, and where ducts hang on no known place, where their ducts end."""
    space = job.assessment.look.space
    ends = {run.ends: space.ways[run.id].end for run in job.design.runs if run.ends}
    for name in job.assessment.look.ports_of_machine[machine]:
        own = space.ports.get(name) if space.placed or not ends else None
        if point := own or ends.get(name):
            yield point


def _points(job: Job, ways: dict[str, Way]) -> Iterator[Point]:
    """All that the drawings must hold."""
    for way in ways.values():
        yield from way.points
    for machine in job.design.machines:
        yield from _ports(job, machine.id)
    site = job.design.site
    if job.assessment.look.space.placed or not ways:
        for corner in site.room:
            yield (corner.east.si, corner.north.si, 0.0)
            yield (corner.east.si, corner.north.si, site.height.si if site.height else 0.0)
    if inlet := position_of(job.design.collector):
        yield inlet


def _view(points: list[Point], across: Callable[[Point], float], up: Callable[[Point], float]) -> View:
    lefts, heights = [across(point) for point in points], [up(point) for point in points]
    wide, high = max(max(lefts) - min(lefts), 0.1), max(heights) - min(heights)
    scale = min((_WIDTH - 2 * _EDGE) / wide, (_HIGHEST - 2 * _EDGE) / max(high, 0.1))
    return View(across, up, (min(lefts), min(heights)), scale, (_WIDTH - wide * scale) / 2, high * scale + 2 * _EDGE + _RULE)


def _drawn(job: Job, ways: dict[str, Way], view: View, title: str, *, from_above: bool) -> str:
    lines = [[view.at(point) for point in way.points] for way in ways.values()]
    wanted = [*_machine_names(job, view), *_run_names(ways, view), *((*_zone_names(job, view), *_wall_names(job, view)) if from_above else ())]
    return svg.drawing(
        _WIDTH, view.height, f"{job.design.name}: {title}",
        *_room(job, view, from_above=from_above), *_bodies(job, view, from_above=from_above), *_runs(job, ways, view),
        *_machines(job, view), *_bar(job, view),
        *svg.names(wanted, lines, Box(0.0, 0.0, _WIDTH, view.height - _RULE)),
    )  # fmt: skip


def _room(job: Job, view: View, *, from_above: bool) -> Iterator[str]:
    """Walls and zones; from the side floor and ceiling."""
    site, space = job.design.site, job.assessment.look.space
    if not site.room or not space.placed:
        return
    corners = [(corner.east.si, corner.north.si, 0.0) for corner in site.room]
    if not from_above:
        ends = min(corners, key=view.across), max(corners, key=view.across)
        for up in (0.0, site.height.si) if site.height else (0.0,):
            yield svg.line([view.at((east, north, up)) for east, north, _ in ends], class_="wall")
        return
    yield svg.line([view.at(point) for point in (*corners, corners[0])], class_="wall")
    for zone in site.zones:
        box = [(zone.west, zone.south), (zone.east, zone.south), (zone.east, zone.north), (zone.west, zone.north), (zone.west, zone.south)]
        yield svg.line([view.at((east.si, north.si, 0.0)) for east, north in box], class_="zone")


def _bodies(job: Job, view: View, *, from_above: bool) -> Iterator[str]:
    """The room that machines and the collector take, where it is known; from the side of those whose height is."""
    if not job.assessment.look.space.placed:
        return
    items: tuple[Collector | Machine, ...] = (job.design.collector, *job.design.machines)
    for body in filter(None, map(body_of, items)):
        if from_above or isfinite(body.high[2]):
            (left, lower), (right, upper) = view.at(body.low), view.at(body.high)
            yield svg.line(((left, lower), (right, lower), (right, upper), (left, upper), (left, lower)), class_="body")


def _runs(job: Job, ways: dict[str, Way], view: View) -> Iterator[str]:
    sizes = stock_sizes(job.design)
    runs = {run.id: run for run in job.design.runs}
    for name, way in ways.items():
        broad = max(bore_of(runs[name], sizes) * view.scale, _THINNEST)
        for stretch in way.stretches:
            points = [view.at(point) for point in stretch.points]
            yield svg.line(points, class_="hose" if _is(runs[name], stretch.piece, Hose) else "pipe", stroke_width=broad)
        for stretch in way.stretches:
            if _is(runs[name], stretch.piece, Gate):
                x, y = view.at(stretch.start)
                toward = view.at(tuple(a + b for a, b in zip(stretch.start, stretch.before, strict=True)))  # type: ignore[arg-type]  # three figures
                level = abs(toward[0] - x) >= abs(toward[1] - y)
                reach = broad / 2 + _MARK
                ends = ((x, y - reach), (x, y + reach)) if level else ((x - reach, y), (x + reach, y))
                yield svg.line(ends, class_="gate")


def _is(run: Run, piece: int, kind: type) -> bool:
    return isinstance(run.pieces[piece], kind)


def _machines(job: Job, view: View) -> Iterator[str]:
    for machine in job.design.machines:
        for point in _ports(job, machine.id):
            yield _square(view.at(point), _MARK)
    yield _square(view.at(position_of(job.design.collector) or (0.0, 0.0, 0.0)), 2 * _MARK)


def _square(at: Spot, half: float) -> str:
    return svg.tag("rect", x=at[0] - half, y=at[1] - half, width=2 * half, height=2 * half, class_="machine")


def _machine_names(job: Job, view: View) -> Iterator[Name]:
    yield Name("collector", (view.at(position_of(job.design.collector) or (0.0, 0.0, 0.0)),), "strong", 2 * _MARK, marked=True)
    for machine in job.design.machines:
        if spots := tuple(view.at(point) for point in _ports(job, machine.id)):
            yield Name(machine.id, spots, "strong", _MARK, marked=True)


def _run_names(ways: dict[str, Way], view: View) -> Iterator[Name]:
    """The names of runs, beside the middles of their longest lines as these are seen."""
    for name, way in ways.items():
        middles = []
        for stretch in way.stretches:
            (ax, ay), (bx, by) = view.at(stretch.start), view.at(stretch.end)
            middles.append((abs(bx - ax) + abs(by - ay), ((ax + bx) / 2, (ay + by) / 2)))
        longest = sorted(middles, reverse=True)[:2]
        yield Name(name, tuple(spot for _, spot in longest) or (view.at(way.points[0]),), way=tuple(map(view.at, way.points)))


def _zone_names(job: Job, view: View) -> Iterator[Name]:
    """The names of zones, in their middles."""
    if job.assessment.look.space.placed:
        for zone in job.design.site.zones:
            yield Name(zone.name, (view.at(((zone.west.si + zone.east.si) / 2, (zone.south.si + zone.north.si) / 2, 0.0)),), "zone-name")


def _wall_names(job: Job, view: View) -> Iterator[Name]:
    """The names by which the setting out calls the walls, at their middles."""
    for wall in job.setting_out.walls:
        (east, north), (other_east, other_north) = wall.start, wall.end
        yield Name(f"{wall.name} wall", (view.at(((east + other_east) / 2, (north + other_north) / 2, 0.0)),), "zone-name")


def _bar(job: Job, view: View) -> Iterator[str]:
    """A bar that shows the scale."""
    unit, metre = ("m", 1.0) if job.units == "metric" else ("ft", _FOOT)
    length = next((bar for bar in _BARS if bar * metre * view.scale > _WIDTH / 10), _BARS[-1])
    y = view.height - _RULE / 2
    yield svg.line(((_EDGE, y), (_EDGE + length * metre * view.scale, y)), class_="bar")
    yield svg.words(f"{length:g} {unit}", (_EDGE + length * metre * view.scale + 6.0, y + 4.0))
