"""The plan as a sheet of rows: one or two views of a scene, and from where they are looked at."""

from __future__ import annotations

from dataclasses import replace

from rich.cells import cell_len

from engine.checks.assess import Assessment
from engine.design import system
from engine.design.kept import WHOLES, kept
from engine.design.places import DESIGN, Place
from engine.shapes.vectors import Point, moved
from engine.values import dataclass
from tui.draw.glyphs import Glyphs
from tui.draw.lines import Line, cut, line
from tui.panes.plan.drawing import draw
from tui.panes.plan.scene import Scene, scene_of
from tui.panes.plan.sight import TITLES, Sight, fitted, flat, scale_bar, scale_text, stepped

# The views of a sheet, the ones after the others as they are asked for.
SHEETS = (("plan", "north"), ("plan", "east"), ("plan",), ("north",), ("east",))
_BOTH_WORTH = 1.3  # as much coarser may the scale become for a view from the side below the plan
_PAN = (8, 4)


@dataclass(frozen=True, slots=True)
class Camera:
    """What is looked at: `views` None leaves the choice to the room there is, `column` None fits all in.

    `shift` (east, north, up, m) is from the middle of all.
    """

    views: tuple[str, ...] | None = None
    column: float | None = None
    shift: Point = (0.0, 0.0, 0.0)


def views_of(camera: Camera, scene: Scene, width: int, height: int, units: str) -> tuple[str, ...]:
    """The views shown: those asked for, else plan and side where that costs little of the scale, else the plan."""
    if camera.views:
        return camera.views
    both, alone = (fitted(views, scene.points, width, height, units)[0].column for views in (SHEETS[0], ("plan",)))
    return SHEETS[0] if both <= _BOTH_WORTH * alone else ("plan",)


def sights(camera: Camera, scene: Scene, width: int, height: int, units: str) -> list[Sight]:
    """The sights of a sheet of `width` by `height` cells, one below the other with a row between."""
    views = views_of(camera, scene, width, height, units)
    return [_shifted(sight, camera.shift) for sight in fitted(views, scene.points, width, height, units, camera.column)]


def _shifted(sight: Sight, shift: Point) -> Sight:
    right, up = flat(sight.view, shift)
    return replace(sight, right=sight.right + right, up=sight.up + up)


def sheet(scene: Scene, shown: list[Sight], glyphs: Glyphs, selected: Place) -> list[Line]:
    """The rows of a sheet; the name of a second view stands between them."""
    rows: list[Line] = []
    for sight in shown:
        if rows:
            name = f" {TITLES[sight.view]} "
            rows.append(line((glyphs.flat * 2 + name + glyphs.flat * max(sight.width - len(name) - 2, 0), "dim")))
        rows += draw(scene, sight, glyphs, selected)
    return rows


def picture(assessment: Assessment, width: int, height: int, glyphs: Glyphs) -> list[Line]:
    """Plan and side view of a design, all ducts as they draw in its first gate set, in at most so many cells."""
    scene, units = scene_of(assessment, assessment.sets[0]), system(assessment.design)
    shown = sights(Camera(SHEETS[0]), scene, width, height, units)
    return [*sheet(scene, shown, glyphs, DESIGN), line((scale_note(shown[0].column, units, glyphs, width), "dim"))]


def overview(assessment: Assessment, index: int, selected: Place, width: int, height: int, glyphs: Glyphs) -> list[Line]:
    """The plan alone in a gate set, at most so many cells, with its scale in the last row; nothing where nothing has a place."""
    scene, units = _kept_scene(assessment, index), system(assessment.design)
    if not scene.points:
        return []
    shown = sights(Camera(("plan",)), scene, width, height - 1, units)
    note = line((cut(f" {scale_text(shown[0].column, units)}", width, glyphs), "dim"))
    return [*sheet(scene, shown, glyphs, selected), note]


@kept(WHOLES)
def _kept_scene(assessment: Assessment, index: int) -> Scene:
    """The scene that is drawn again for every move of the selection."""
    return scene_of(assessment, assessment.sets[index])


def scale_note(column: float, units: str, glyphs: Glyphs, width: int) -> str:
    """The scale in words and as a bar of a round length, in at most `width` cells: the bar alone where both have no room."""
    cells, length = scale_bar(column, units)
    bar = f" {glyphs.left}{glyphs.flat * max(cells - 2, 0)}{glyphs.right} {length} "
    both = f" {scale_text(column, units)} {bar}"
    return next((text for text in (both, bar) if cell_len(text) <= width), "")


# Looking elsewhere


def next_views(camera: Camera, shown: tuple[str, ...]) -> Camera:
    """The views that come after those shown."""
    return Camera(SHEETS[(SHEETS.index(shown) + 1) % len(SHEETS)], camera.column, camera.shift)


def panned(camera: Camera, sight: Sight, right: int, down: int) -> Camera:
    """Looked at from some steps to the right and down in a sight."""
    columns, rows = right * _PAN[0], down * _PAN[1]
    by = in_space(sight.view, columns * sight.column, -rows * sight.column * 2)
    return replace(camera, column=sight.column, shift=moved(camera.shift, by, 1.0))


def zoomed(camera: Camera, sight: Sight, by: int, scene: Scene, units: str, place: Place) -> Camera:
    """At a scale `by` steps coarser, around what is selected where that is in sight."""
    column = stepped(sight.column, by, units, scene.points)
    points = [point for point in scene.points_of(place) if sight.holds(point)]
    if not points:
        return replace(camera, column=column)
    right, up = _middle(sight.view, points)
    share = 1 - column / sight.column
    way = in_space(sight.view, (right - sight.right) * share, (up - sight.up) * share)
    return replace(camera, column=column, shift=moved(camera.shift, way, 1.0))


def following(camera: Camera, shown: list[Sight], scene: Scene, place: Place) -> Camera:
    """Moved so that what is selected is in sight."""
    points = scene.points_of(place)
    shift = (0.0, 0.0, 0.0)
    for sight in (_shifted(sight, shift) for sight in shown):
        if points and not any(sight.holds(point) for point in points):
            right, up = _middle(sight.view, points)
            shift = moved(shift, in_space(sight.view, right - sight.right, up - sight.up), 1.0)
    return replace(camera, shift=moved(camera.shift, shift, 1.0))


def _middle(view: str, points: list[Point] | tuple[Point, ...]) -> tuple[float, float]:
    flats = [flat(view, point) for point in points]
    return sum(x for x, _ in flats) / len(flats), sum(y for _, y in flats) / len(flats)


def in_space(view: str, right: float, up: float) -> Point:
    """A way in a view, m to the right and up, as a way in space."""
    return (right, up, 0.0) if view == "plan" else (right, 0.0, up) if view == "north" else (0.0, -right, up)
