"""A scene drawn in one sight: room, ducts, machines, marks and names, as rows of spans."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from itertools import pairwise

from engine.design.model import COLLECTOR_PLACE
from engine.design.places import DESIGN, OfRun, Place, whole
from engine.shapes.vectors import Point
from engine.units.printable import printable
from tui.draw.glyphs import Glyphs
from tui.draw.lines import Line
from tui.draw.raster import Cell, Raster, staircase
from tui.panes.plan.labels import Around, Label, Placed, place_labels
from tui.panes.plan.scene import BODY, Duct, Part, Scene, Spot
from tui.panes.plan.sight import Sight
from tui.work.edits.marks import MARKS

_UPRIGHT = 0.7
# Cells each way from which a slanting line is drawn in dots: a shorter one joins better in steps.
_SLANTS = 2
# Where a mark stands beside a short piece, best first.
_BESIDE = ((0, -1), (1, 0), (-1, 0), (0, 1), (1, -1), (-1, 1), (1, 1), (-1, -1), (2, 0), (-2, 0), (2, -1), (-2, 1), (2, 1), (-2, -1))


def draw(scene: Scene, sight: Sight, glyphs: Glyphs, selected: Place = DESIGN) -> list[Line]:
    """The rows of a sight, what is selected in reverse."""
    return drawn(scene, sight, glyphs, selected)[0].rows()


def drawn(
    scene: Scene, sight: Sight, glyphs: Glyphs, selected: Place = DESIGN, underlay: Callable[[Raster], None] | None = None,
) -> tuple[Raster, list[Placed]]:  # fmt: skip
    """The raster of a sight, and the names on it; an `underlay` is drawn on the floor, and no name covers it."""
    raster = Raster(sight.width, sight.height, glyphs)
    _draw_room(raster, scene, sight)
    if underlay:
        underlay(raster)
    for duct in sorted(scene.ducts, key=lambda duct: (duct.draws, _height(duct.points))):
        _draw_duct(raster, duct, sight)
    for spot in scene.spots:
        _draw_spot(raster, spot, sight)
    _draw_marks(raster, scene, sight)
    raster.mark(cells_of(scene, sight, selected), "cursor")
    if sight.view == "plan":
        for row, letter in enumerate(("N", glyphs.north)):
            if (sight.width - 1, row) not in raster.taken:
                raster.text(sight.width - 1, row, letter, "dim")
    symbols = {cell for spot in scene.spots for cell in _spot_cells(spot, sight)}
    around = Around(sight.width, sight.height, raster.taken, raster.grounded, symbols)
    labels = place_labels(list(_labels(scene, sight, selected)), around, glyphs)
    for placed in labels:
        raster.text(placed.x, placed.y, placed.text, placed.role)
    return raster, labels


def cells_of(scene: Scene, sight: Sight, place: Place) -> list[Cell]:
    """The cells that show what is at a place."""
    duct = next((duct for duct in scene.ducts if duct.place == place), None)
    if duct:
        return [cell for part in duct.parts for cell in _trace(part.points, sight)]
    if spot := scene.spot(place):
        return _spot_cells(spot, sight)
    return _trace(scene.points_of(place), sight)


def _height(points: Sequence[Point]) -> float:
    return max((up for _, _, up in points), default=0.0)


@lru_cache(maxsize=4096)  # a selection moves over a drawing that stays
def _trace(points: tuple[Point, ...], sight: Sight) -> list[Cell]:
    """The cells a line goes through, each beside the one before."""
    corners = [sight.cell(point) for point in points]
    cells = corners[:1]
    for start, end in pairwise(corners):
        cells += staircase(start, end)[1:]
    return cells


# Room


def _draw_room(raster: Raster, scene: Scene, sight: Sight) -> None:
    walls = scene.corners
    if sight.view == "plan":
        for a, b in pairwise((*walls, *walls[:1])):
            raster.ground(_trace(((*a, 0.0), (*b, 0.0)), sight), "wall")
    elif walls:
        top = scene.ceiling or 0.0
        for height in {0.0, top}:
            ends = [(*corner, height) for corner in walls]
            across = sorted(ends, key=lambda point: sight.at(point)[0])
            raster.ground(_trace((across[0], across[-1]), sight), "wall")
            raster.ground(_trace((across[0], (*across[0][:2], top)), sight), "wall")
            raster.ground(_trace((across[-1], (*across[-1][:2], top)), sight), "wall")
    for kind, _, low, high in scene.zones:
        ground = zone_ground(kind)
        raster.ground(_box_cells(ground, low, high, sight), ground)


def zone_ground(kind: str) -> str:
    """What of the raster's grounds a zone of a kind is drawn with: a window as a door, other things to mind as a place to keep clear."""
    return {"post": "post", "door": "door", "window": "door", COLLECTOR_PLACE: "collector place", BODY: BODY}.get(kind, "keep clear")


def _box_cells(ground: str, low: Point, high: Point, sight: Sight) -> Iterator[Cell]:
    """The cells of a box, at least one; a place to keep clear is hatched.

    From the side a post shows whole, of a door or window its frame, of others the upper side.
    """
    (x0, y0), (x1, y1) = sight.cell(low), sight.cell(high)
    left, right, top, bottom = min(x0, x1), max(x0, x1), min(y0, y1), max(y0, y1)
    framed = sight.view != "plan" and ground == "door"
    if sight.view != "plan" and ground not in ("post", "door"):
        bottom = top
    for y in range(max(top, 0), min(bottom + 1, sight.height)):
        for x in range(max(left, 0), min(right + 1, sight.width)):
            of_frame = not framed or x in (left, right) or y == top
            if of_frame and (ground in ("post", "door", BODY) or (x + 2 * y) % 4 == 0):
                yield x, y


# Ducts


def _draw_duct(raster: Raster, duct: Duct, sight: Sight) -> None:
    role = "bar" if duct.draws else "dim"
    for part in duct.parts:
        if part.kind == "hose":
            raster.trail(_trace(part.points, sight), "hose", role)
        elif not duct.draws:
            raster.trail(_trace(part.points, sight), "wide still" if duct.main else "still", role)
        else:
            _draw_pipe(raster, duct, part, sight, role)
    for part in duct.parts:
        _draw_part(raster, part, sight, role)


def _draw_pipe(raster: Raster, duct: Duct, part: Part, sight: Sight, role: str) -> None:
    cells = [sight.cell(point) for point in part.points]
    for (a, start), (b, end) in pairwise(zip(part.points, cells, strict=True)):
        if raster.glyphs.braille and min(abs(start[0] - end[0]), abs(start[1] - end[1])) >= _SLANTS:
            raster.slant(sight.at(a), sight.at(b), role, double=duct.main)
        else:
            raster.line((start, end), role, double=duct.main, owner=duct.name, meets=duct.kin)


def _draw_part(raster: Raster, part: Part, sight: Sight, role: str) -> None:
    """What a piece shows besides its line: a gate, or that it goes away from the eye or toward it."""
    cell = sight.cell(part.points[0])
    if part.kind == "shut gate":
        raster.point(*cell, "shut", "value")
    elif part.kind == "open gate":
        raster.point(*cell, "ring", role)
    elif sight.view == "plan" and part.kind in ("pipe", "hose") and len(part.points) > 1 and cell == sight.cell(part.points[-1]):
        rise = part.points[-1][2] - part.points[0][2]
        if abs(rise) > sight.column * _UPRIGHT:
            raster.point(*cell, "up" if rise > 0 else "down", role)


# Machines and marks


def _spot_cells(spot: Spot, sight: Sight) -> list[Cell]:
    x, y = sight.cell(spot.at)
    return [(at, y) for at in (x - 1, x, x + 1)] if spot.kind == "collector" else [(x, y)]


def _draw_spot(raster: Raster, spot: Spot, sight: Sight) -> None:
    x, y = sight.cell(spot.at)
    if spot.kind == "collector":
        raster.text(x - 1, y, "[C]", "value")
    else:
        raster.point(x, y, spot.kind, "value" if spot.works else "text")


def _draw_marks(raster: Raster, scene: Scene, sight: Sight) -> None:
    """Marks of ducts: on the middle of a long line, beside a short one and beside a symbol. Those of machines stand behind their names."""
    taken, symbols = raster.taken, {cell for spot in scene.spots for cell in _spot_cells(spot, sight)}
    for place, severity in scene.found.items():
        cells = cells_of(scene, sight, place) if isinstance(place, OfRun) else ()
        if not cells:
            continue
        x, y = cells[len(cells) // 2]
        beside = [(x + across, y + down) for across, down in _BESIDE]
        if len(set(cells)) < 3 or (x, y) in symbols:
            x, y = next((cell for cell in beside if cell not in taken and sight.has(cell)), (x, y))
        raster.text(x, y, MARKS[severity], severity)
        taken.add((x, y))


# Names


def _labels(scene: Scene, sight: Sight, selected: Place) -> Iterator[Label]:
    """Names, what is selected first, then collector and machines, zones, mains and branches."""
    spots = [spot for spot in scene.spots if spot.kind != "port" and sight.holds(spot.at)]
    for spot in sorted(spots, key=lambda spot: (spot.place != whole(selected), spot.kind)):
        severity = scene.found.get(spot.place, "")
        role = "cursor" if spot.place == whole(selected) else "value" if spot.works else "text"
        x, y = sight.cell(spot.at)
        around = ((x, y),) if spot.kind == "machine" else ((x + 1, y), (x - 1, y), (x, y))
        yield Label(printable(spot.name) + (f" {MARKS[severity]}" if severity else ""), around, f"{severity} {role}".strip())
    for _, name, low, high in scene.zones:
        if name and sight.has(middle := sight.cell(((low[0] + high[0]) / 2, (low[1] + high[1]) / 2, (low[2] + high[2]) / 2))):
            sides = sorted((sight.cell(low)[0], sight.cell(high)[0]))
            yield Label(printable(name), ((sides[1], middle[1]), (sides[0], middle[1]), middle), "dim", whole=True)
    for duct in sorted(scene.ducts, key=lambda duct: (duct.place != whole(selected), not duct.main)):
        if beside := _beside(duct, sight):
            yield Label(printable(duct.name), beside, "cursor" if duct.place == selected else "dim", whole=True)


def _beside(duct: Duct, sight: Sight) -> tuple[Cell, ...]:
    """Cells along a duct to write its name beside, from its middle outward; none where less of it shows than its name takes."""
    cells = [cell for part in duct.parts if part.kind != "hose" for cell in _trace(part.points, sight)]
    cells = [cell for cell in dict.fromkeys(cells) if sight.has(cell)]
    if len(cells) < (len(duct.name) + 1) // 2:
        return ()
    middle = len(cells) // 2
    return tuple(cells[at] for at in (middle, middle - 2, middle + 2, len(cells) // 4) if 0 <= at < len(cells))
