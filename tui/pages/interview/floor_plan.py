"""The small plan of the interview: the room as far as it is known, with what is being answered marked in it."""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from itertools import pairwise

from engine.design import Collector, Design, Machine, Zone, defaults
from engine.shapes.vectors import Point
from engine.space.geometry import space_of
from engine.survey.answers import Answers, finished, hung, zones_said
from engine.survey.room import READERS
from engine.units.printable import printable
from tui.draw.glyphs import Glyphs
from tui.draw.lines import Line, wrapped
from tui.draw.raster import Cell, Raster, staircase
from tui.panes.pane import Content, Pane
from tui.panes.plan.drawing import zone_ground
from tui.panes.plan.labels import Around, Label, place_labels
from tui.panes.plan.sheet import scale_note
from tui.panes.plan.sight import Sight, fitted

_EMPTY = "The plan grows here with the answers: the room, what stands in it, the machines."


class FloorPlan(Pane, can_focus=False):
    """The pane below the questions. It is looked at only."""

    def __init__(self) -> None:
        super().__init__()
        self._design: Design | None = None
        self._marked: frozenset[str] = frozenset()

    def show_plan(self, answers: Answers, at: str, marks: str) -> None:
        """Show the room of some answers; `marks` is what the row in use is about, `at` the question it belongs to."""
        self._design = hung(answers).design if answers.lines("hanging") else finished(answers)
        question, _, row = marks.partition(" ")
        if question in READERS:
            self._marked = zones_said(answers, question, int(row))
        else:
            self._marked = frozenset({"collector" if at == "place" else at if at.startswith("machine ") else marks})
        self.redraw()

    def content(self, width: int, height: int) -> Content:
        """The plan, and its scale in the lower edge."""
        design = self._design
        points = points_of(design) if design else ()
        if design is None or len(points) < 2:
            return Content(self.titled("plan, north is up"), wrapped(_EMPTY, width, "dim"))
        (sight,) = fitted(("plan",), points, width, height, design.display or "metric")
        rows = drawn(design, sight, self.session.glyphs, self._marked)
        return Content(self.titled("plan, north is up"), rows, scale_note(sight.column, design.display or "metric", self.session.glyphs)[:width])


def points_of(design: Design) -> tuple[Point, ...]:
    """What the plan should hold: corners, zones, collector, machines with their bodies."""
    found = [(corner.east.si, corner.north.si, 0.0) for corner in design.site.room]
    found += [(value.si, other.si, 0.0) for zone in design.site.zones for value, other in ((zone.west, zone.south), (zone.east, zone.north))]
    boxes = [body_box(design.collector), *map(body_box, design.machines)]
    found += [corner for box in boxes if box for corner in box]
    return tuple(found)


def body_box(item: Collector | Machine) -> tuple[Point, Point] | None:
    """The corners of what a thing takes of the floor, about its place; None where it has none."""
    if item.east is None or item.north is None:
        return None
    wide, deep = (side.si / 2 if side else 0.0 for side in (item.size.east, item.size.north))
    east, north = item.east.si, item.north.si
    return (east - wide, north - deep, 0.0), (east + wide, north + deep, 0.0)


def drawn(design: Design, sight: Sight, glyphs: Glyphs, marked: AbstractSet[str]) -> list[Line]:
    """The rows of a plan; what is marked, as "corner 2", "machine 0" or the name of a box, in reverse."""
    raster = Raster(sight.width, sight.height, glyphs)
    corners = [sight.cell((corner.east.si, corner.north.si, 0.0)) for corner in design.site.room]
    for a, b in pairwise((*corners, *corners[: 1 if len(corners) > 2 else 0])):
        raster.ground(staircase(a, b), "wall")
    for zone in design.site.zones:
        ground = zone_ground(zone.kind or defaults.ZONE_KIND)
        cells = list(_cells(zone, sight, sparse=ground == "keep clear"))
        raster.ground(cells, ground)
        raster.mark(cells if zone.name in marked else (), "cursor")
    labels = list(_draw_machines(raster, design, sight, marked))
    if design.runs and design.collector.east is not None:
        _draw_ducts(raster, design, sight)
    if (box := body_box(design.collector)) is not None:
        x, y = sight.cell(((box[0][0] + box[1][0]) / 2, (box[0][1] + box[1][1]) / 2, 0.0))
        raster.text(x - 1, y, "[C]", _role("value", "collector" in marked))
    for i, cell in enumerate(corners):
        if f"corner {i}" in marked:
            raster.text(*cell, str((i + 1) % 10), "cursor")
    raster.text(*sight.cell((0.0, 0.0, 0.0)), "0", _role("value", "corner 0" in marked))
    around = Around(sight.width, sight.height, raster.taken, raster.grounded)
    for placed in place_labels(labels, around, glyphs):
        raster.text(placed.x, placed.y, placed.text, placed.role)
    return list(raster.rows())


def _role(role: str, chosen: bool) -> str:
    return f"{role} cursor" if chosen else role


def _draw_machines(raster: Raster, design: Design, sight: Sight, marked: AbstractSet[str]) -> Iterator[Label]:
    """The bodies of the machines, and their names to be written beside them."""
    for i, machine in enumerate(design.machines):
        cells, chosen = list(_box_cells(*box, sight)) if (box := body_box(machine)) else [], f"machine {i}" in marked
        for x, y in cells:
            raster.point(x, y, "machine", _role("value", chosen))
        if cells:
            yield Label(printable(machine.id), _ends(cells), _role("text", chosen))


def _draw_ducts(raster: Raster, design: Design, sight: Sight) -> None:
    """The ducts that hang, as far as they have a place."""
    for way in space_of(design).ways.values():
        corners = list(dict.fromkeys(map(sight.cell, way.points)))
        for a, b in pairwise(corners):
            raster.line(staircase(a, b), "bar", owner="ducts")


def _ends(cells: list[Cell]) -> tuple[Cell, ...]:
    """Cells to write a name beside: the ends of a body's middle row."""
    row = sorted({y for _, y in cells})[len({y for _, y in cells}) // 2]
    across = sorted(x for x, y in cells if y == row)
    return (across[-1], row), (across[0], row), (across[len(across) // 2], row)


def _cells(zone: Zone, sight: Sight, *, sparse: bool) -> Iterator[Cell]:
    low, high = (zone.west.si, zone.south.si, 0.0), (zone.east.si, zone.north.si, 0.0)
    return (cell for cell in _box_cells(low, high, sight) if not sparse or (cell[0] + 2 * cell[1]) % 4 == 0)


def _box_cells(low: Point, high: Point, sight: Sight) -> Iterator[Cell]:
    """The cells of a box seen from above, at least one; a side that ends where a cell begins does not take that cell."""
    (x0, y0), (x1, y1) = sight.cell((low[0], high[1], 0.0)), sight.cell((high[0] - 1e-6, low[1] + 1e-6, 0.0))
    for y in range(max(y0, 0), min(max(y0, y1) + 1, sight.height)):
        for x in range(max(x0, 0), min(max(x0, x1) + 1, sight.width)):
            yield x, y
