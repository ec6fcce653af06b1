"""The small plan of the interview: the room as far as it is known, with what is being answered marked in it."""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from itertools import pairwise

from engine.design import Collector, Design, Machine, Zone, defaults
from engine.shapes.vectors import Point
from engine.space.geometry import space_of
from engine.space.on_floor import body_of
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

# The way an inlet faces: its sign, and how many cells to the right and down from the middle it stands.
_ARROWS = {"north": ("^", 0, -1), "south": ("v", 0, 1), "east": (">", 2, 0), "west": ("<", -2, 0)}
# A place to keep clear is hatched where it takes more cells than this.
_HATCHED = 8
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
        return Content(self.titled("plan, north is up"), rows, scale_note(sight.column, design.display or "metric", self.session.glyphs, width))


def points_of(design: Design) -> tuple[Point, ...]:
    """What the plan should hold: corners, zones, collector, machines with their bodies."""
    found = [(corner.east.si, corner.north.si, 0.0) for corner in design.site.room]
    found += [(value.si, other.si, 0.0) for zone in design.site.zones for value, other in ((zone.west, zone.south), (zone.east, zone.north))]
    boxes = [floor_of(design.collector), *map(floor_of, design.machines)]
    found += [corner for box in boxes if box for corner in box]
    return tuple(found)


def floor_of(item: Collector | Machine) -> tuple[Point, Point] | None:
    """The corners of what a thing takes of the floor, its place alone where it has no size; None where it has none.

    A collector takes its room once it is known which way it faces.
    """
    if item.east is None or item.north is None:
        return None
    known = None if isinstance(item, Collector) and not item.faces else body_of(item)
    if known is None:
        return (item.east.si, item.north.si, 0.0), (item.east.si, item.north.si, 0.0)
    (west, south, _), (east, north, _) = known
    return (west, south, 0.0), (east, north, 0.0)


def drawn(design: Design, sight: Sight, glyphs: Glyphs, marked: AbstractSet[str]) -> list[Line]:
    """The rows of a plan; what is marked, as "corner 2", "machine 0" or the name of a box, in reverse."""
    raster = Raster(sight.width, sight.height, glyphs)
    corners = [sight.cell((corner.east.si, corner.north.si, 0.0)) for corner in design.site.room]
    for a, b in pairwise((*corners, *corners[: 1 if len(corners) > 2 else 0])):
        raster.ground(staircase(a, b), "wall")
    grounds = [(zone, zone_ground(zone.kind or defaults.ZONE_KIND)) for zone in design.site.zones]
    for zone, ground in sorted(grounds, key=lambda pair: pair[1] != "keep clear"):  # a door is seen on the floor it sweeps
        cells = _cells(zone, ground, sight)
        raster.ground(cells, ground)
        raster.mark(cells if zone.name in marked else (), "cursor")
    labels = list(_draw_machines(raster, design, sight, marked))
    if design.runs and design.collector.east is not None:
        _draw_ducts(raster, design, sight)
    _draw_collector(raster, design.collector, sight, _role("value", "collector" in marked))
    for i, cell in enumerate(corners):
        if f"corner {i}" in marked:
            raster.text(*cell, str((i + 1) % 10), "cursor")
    raster.text(*sight.cell((0.0, 0.0, 0.0)), "0", _role("value", "corner 0" in marked))
    around = Around(sight.width, sight.height, raster.taken, raster.grounded)
    for placed in place_labels(labels, around, glyphs):
        raster.text(placed.x, placed.y, placed.text, placed.role)
    return list(raster.rows())


def _draw_collector(raster: Raster, collector: Collector, sight: Sight, role: str) -> None:
    """The body of the collector, its inlet in the side that faces the first pipe, and which way that is."""
    if collector.east is None or collector.north is None:
        return
    for x, y in _box_cells(*box, sight) if (box := floor_of(collector)) else ():
        raster.point(x, y, "machine", role)
    x, y = sight.cell((collector.east.si, collector.north.si, 0.0))
    raster.text(x - 1, y, "[C]", role)
    if collector.faces in _ARROWS:
        arrow, right, down = _ARROWS[collector.faces]
        raster.text(x + right, y + down, arrow, role)


def _role(role: str, chosen: bool) -> str:
    return f"{role} cursor" if chosen else role


def _draw_machines(raster: Raster, design: Design, sight: Sight, marked: AbstractSet[str]) -> Iterator[Label]:
    """The bodies of the machines, and their names to be written beside them."""
    for i, machine in enumerate(design.machines):
        cells, chosen = list(_box_cells(*box, sight)) if (box := floor_of(machine)) else [], f"machine {i}" in marked
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


def _cells(zone: Zone, ground: str, sight: Sight) -> list[Cell]:
    low, high = (zone.west.si, zone.south.si, 0.0), (zone.east.si, zone.north.si, 0.0)
    cells = list(_box_cells(low, high, sight, thin=ground == "door"))
    return [(x, y) for x, y in cells if (x + 2 * y) % 4 == 0] if ground == "keep clear" and len(cells) > _HATCHED else cells


def _box_cells(low: Point, high: Point, sight: Sight, *, thin: bool = False) -> Iterator[Cell]:
    """The cells of a box seen from above, at least one; a side that ends where a cell begins does not take that cell.

    What is smaller than a cell takes the one that its middle is in, but for a `thin` thing, which stands in a wall.
    """
    (x0, y0), (x1, y1) = sight.cell((low[0], high[1], 0.0)), sight.cell((high[0] - 1e-6, low[1] + 1e-6, 0.0))
    middle = sight.cell(((low[0] + high[0]) / 2, (low[1] + high[1]) / 2, 0.0))
    if high[0] - low[0] < sight.column and not thin:
        x0 = x1 = middle[0]
    if high[1] - low[1] < 2 * sight.column and not thin:
        y0 = y1 = middle[1]
    for y in range(max(y0, 0), min(max(y0, y1) + 1, sight.height)):
        for x in range(max(x0, 0), min(max(x0, x1) + 1, sight.width)):
            yield x, y
