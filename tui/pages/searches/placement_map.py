"""A placement study on the plan: every spot by how good it is, the best numbered, today's spot, and the two middles of the machines."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from math import dist

from engine.checks.assess import assess
from engine.design import Design
from engine.design.kept import WHOLES, kept
from engine.search.layouts.shop import ready
from engine.search.placement import Grid, Spot, Study, order
from engine.units import number_text, unit_name
from engine.units.words import share_text
from tui.draw.glyphs import Glyphs
from tui.draw.lines import Line
from tui.draw.raster import Raster
from tui.panes.plan.drawing import drawn
from tui.panes.plan.scene import Scene, scene_of
from tui.panes.plan.sight import Sight

# A place of the study: row and column of its grid, or TODAY.
At = tuple[int, int]
TODAY: At = (-1, -1)
# What spots are graded by, each in four grades.
MEASURES = ("air", "duct", "rank")
GRADES = 4
_LETTERS = "abcd"
_TROUBLED, _LEAST_TOTAL, _LEAST_LONGEST = "!", "+", "x"
_ROLES = {
    "air": ("ok", "note", "caution", "fault"), "duct": ("ok", "note", "caution", "dim"), "rank": ("ok", "note", "caution", "dim"),
}  # fmt: skip
_WIDEST = 3


def room_scene(design: Design) -> Scene:
    """What the study's shop holds besides its ducts: room, zones and machines, those without a position where the study puts them."""
    assessment = assess(ready(design))
    scene = scene_of(assessment, assessment.sets[0])
    spots = tuple(spot for spot in scene.spots if spot.kind != "collector")
    return Scene((), spots, scene.corners, scene.zones, scene.ceiling, {}, (), ())


@kept(WHOLES)
def places(study: Study) -> Mapping[At, tuple[float, float]]:
    """East and north, m, of every spot that may be chosen: those of the grid, and today's."""
    grid = study.grid
    found = {(i, j): (grid.easts[j], grid.norths[i]) for i, row in enumerate(grid.free) for j, free in enumerate(row) if free}
    return found | ({TODAY: (study.today.east, study.today.north)} if study.today else {})


def spot_at(study: Study, at: At) -> Spot | None:
    """The spot at a place; None while it is not tried."""
    return study.today if at == TODAY else study.grid.spots[at[0]][at[1]]


@kept(WHOLES)
def best(study: Study) -> tuple[At, ...]:
    """Where the study's proposals are, best first."""
    tried = [at for at in places(study) if at != TODAY and spot_at(study, at)]
    collectors = [one.design.collector for one in study.proposals]
    spots = [(spot.east.si, spot.north.si) for spot in collectors if spot.east and spot.north]
    return tuple([_nearest(study.grid, tried, there) for there in spots])


def _nearest(grid: Grid, places: Sequence[At], there: tuple[float, float]) -> At:
    return min(places, key=lambda at: dist((grid.easts[at[1]], grid.norths[at[0]]), there))


def beside(there: Mapping[At, tuple[float, float]], at: At, east: int, north: int) -> At:
    """The place next to one in a direction; the same one where nothing lies that way."""
    here = there[at]
    ways = []
    for other, place in there.items():
        along = (place[0] - here[0]) * east + (place[1] - here[1]) * north
        across = abs((place[0] - here[0]) * north) + abs((place[1] - here[1]) * east)
        if along > 1e-6:
            ways.append((along + 2 * across, across, other))
    return min(ways)[2] if ways else at


# ---- grades


@kept(WHOLES)
def grades(study: Study, measure: str) -> Mapping[Spot, int]:
    """The grade of every spot tried, 0 the best."""
    tried = study.grid.tried
    if measure == "rank":
        return {spot: GRADES * place // len(tried) for place, spot in enumerate(sorted(tried, key=order))}
    limits = _limits(study, measure)
    if measure == "duct":
        return {spot: bisect_left(limits, spot.length) for spot in tried}
    return {spot: sum(spot.standing.share is None or spot.standing.share < least for least in limits) for spot in tried}


def _limits(study: Study, measure: str) -> tuple[float, ...]:
    """Where one grade of a measure ends: shares of the need, or m of duct that so many quarters of the spots do with."""
    if measure == "air":
        return 1.0, (1.0 + study.tolerated) / 2, study.tolerated
    lengths = sorted(spot.length for spot in study.grid.tried)
    return tuple(lengths[len(lengths) * quarter // GRADES - 1] for quarter in range(1, GRADES)) if len(lengths) >= GRADES else ()


def legend(study: Study, measure: str, units: str, glyphs: Glyphs) -> str:
    """What the shades stand for."""
    if measure == "air":
        words = [share_text(least) for least in _limits(study, measure)] + ["less"]
        words[0] = f"from {words[0]}"
    elif measure == "duct" and (limits := _limits(study, measure)):
        first, second, third = (number_text(most, "length", units, digits=1) for most in limits)
        words = [f"to {first}", second, f"{third} {unit_name('length', units)}", "more"]
    else:
        words = ["least" if measure == "duct" else "best quarter", "", "", "most" if measure == "duct" else "worst"]
    return f"{measure} " + " ".join(f"{shade} {word}".strip() for shade, word in zip(glyphs.shades, words, strict=True))


# ---- drawing


def draw_map(study: Study, scene: Scene, sight: Sight, cursor: At, measure: str, glyphs: Glyphs) -> list[Line]:
    """The rows of the map."""
    raster, _ = drawn(scene, sight, glyphs, underlay=lambda raster: _draw_spots(raster, study, sight, measure))
    _draw_marks(raster, study, sight)  # once more, over machines
    there = places(study)
    if cursor in there:
        cell = sight.cell((*there[cursor], 0.0))
        raster.text(*cell, _under_cursor(study, cursor, measure), "value cursor")
    return raster.rows()


def _draw_spots(raster: Raster, study: Study, sight: Sight, measure: str) -> None:
    """Every spot of the grid, the worst first: where two are in one cell the better is seen."""
    grade = grades(study, measure)
    easts = study.grid.easts
    wide = min(max(round((easts[1] - easts[0]) / sight.column / 2), 1), _WIDEST) if len(easts) > 1 else 1
    spots = [(at, place, spot_at(study, at)) for at, place in places(study).items() if at != TODAY]
    for _, place, spot in sorted(spots, key=lambda row: -grade[row[2]] if row[2] else -GRADES):
        x, y = sight.cell((*place, 0.0))
        text, role = _shade(spot, grade, measure, raster.glyphs)
        raster.text(x - (wide - 1) // 2 if spot and len(text) == 1 else x, y, text * (wide if spot else 1), role)
    _draw_marks(raster, study, sight)


def _shade(spot: Spot | None, grade: Mapping[Spot, int], measure: str, glyphs: Glyphs) -> tuple[str, str]:
    if spot is None:
        return glyphs.dot, "dim"
    if spot.troubled:
        return _TROUBLED, "fault"
    return glyphs.shades[grade[spot]], _ROLES[measure][grade[spot]]


def _draw_marks(raster: Raster, study: Study, sight: Sight) -> None:
    """The middles, side by side where they are one, today's spot and the best, the most wanted last."""
    there = places(study)
    total, longest = (sight.cell((*middle.at, 0.0)) for middle in (study.total, study.longest))
    raster.text(*longest, _LEAST_LONGEST, "value")
    raster.text(total[0] - (total == longest), total[1], _LEAST_TOTAL, "value")
    marked = [(TODAY, "T")] if study.today else []
    for at, text in marked + [(at, str(number)) for number, at in enumerate(best(study), 1)][::-1]:
        raster.text(*sight.cell((*there[at], 0.0)), text, "value")


def _under_cursor(study: Study, at: At, measure: str) -> str:
    """The letter in reverse where the cursor is: a shade in reverse would tell nothing."""
    if at == TODAY:
        return "T"
    if at in (first := best(study)):
        return str(first.index(at) + 1)
    spot = spot_at(study, at)
    if spot is None:
        return "?"
    return _TROUBLED if spot.troubled else _LETTERS[grades(study, measure)[spot]]
