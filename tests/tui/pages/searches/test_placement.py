"""The pages of drafted layouts and of the placement study: map, list, cursor, progress, and how a spot is taken. Designs are invented."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from engine.design import Corner, Site
from engine.files import design_file
from engine.search.placement import from_spot, order, placements
from engine.units import parse
from tests.shops import placed_drops, two_drops
from tests.tui.screen_text import screen_text, shows, wait_until
from tui.commands import search
from tui.draw.glyphs import ASCII, GLYPHS, LINE
from tui.draw.lines import text_of, width_of
from tui.pages.searches.placement import PlacementScreen, usual_spacing
from tui.pages.searches.placement_list import ListView, list_lines, reasons_of
from tui.pages.searches.placement_map import GRADES, MEASURES, TODAY, beside, best, draw_map, grades, legend, places, room_scene, spot_at
from tui.panes.plan.sight import fitted
from tui.work.document import Document

SIZES = {"60x18": (60, 18), "80x24": (80, 24), "120x36": (120, 36), "200x60": (200, 60)}
USUAL = SIZES["80x24"]
DESIGN = design_file.loads(placed_drops.TEXT)
SPACING = 1.0


@pytest.fixture(autouse=True)
def _own_folders(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.delenv("NO_COLOR", raising=False)


@cache
def studied_once():
    return list(placements(DESIGN, spacing=SPACING))


@pytest.fixture(scope="module")
def steps():
    return studied_once()


@pytest.fixture(scope="module")
def study(steps):
    return steps[-1]


def study_of(design):
    """The study of the shop of these tests as it was found once, and of another one with few spots."""
    yield from studied_once() if design == DESIGN else placements(design, spacing=2 * SPACING)


def page(begin=study_of) -> PlacementScreen:
    """The page with a study of its own."""
    screen = PlacementScreen(SPACING)
    screen.begin = begin
    return screen


async def opened(pilot, app, begin=study_of):
    await shows(pilot, ", slow ")
    app.push_screen(page(begin))
    await wait_until(pilot, lambda: isinstance(app.screen, PlacementScreen))
    await wait_until(pilot, lambda: "1. " in screen_text(app) and "q quit" in screen_text(app))


async def studied(pilot, app):
    await opened(pilot, app)
    await shows(pilot, "spots tried")


# Grades and places


def test_grades_follow_what_they_are_graded_by(study):
    tried = study.grid.tried
    by = {measure: grades(study, measure) for measure in MEASURES}
    assert all(set(found) == set(tried) and set(found.values()) <= set(range(GRADES)) for found in by.values())
    for a in tried:
        for b in tried:
            assert a.length > b.length or by["duct"][a] <= by["duct"][b]
            assert order(a) > order(b) or by["rank"][a] <= by["rank"][b]
            assert a.standing.share < b.standing.share or by["air"][a] <= by["air"][b]


@pytest.mark.parametrize(("share", "grade"), [(1.2, 0), (1.0, 0), (0.97, 1), (0.95, 1), (0.93, 2), (0.9, 2), (0.89, 3), (None, 3)])
def test_air_is_graded_by_the_tolerance_of_the_need(study, share, grade):
    spot = study.grid.tried[0]
    other = replace(spot, standing=replace(spot.standing, share=share))
    grid = replace(study.grid, spots=((other,),))
    assert grades(replace(study, grid=grid), "air") == {other: grade}


def test_arrows_reach_every_spot_and_stay_at_the_edge(study):
    there = places(study)
    reached, waiting = set(), [TODAY]
    while waiting:
        at = waiting.pop()
        reached.add(at)
        waiting += {beside(there, at, *way) for way in ((1, 0), (-1, 0), (0, 1), (0, -1))} - reached
    assert reached == set(there)
    at = max(set(there) - {TODAY}, key=there.get)
    easternmost = max(there, key=lambda at: there[at][0])
    assert beside(there, easternmost, 1, 0) == easternmost
    assert there[beside(there, at, -1, 0)][0] < there[at][0]


def test_the_best_are_where_their_collectors_are(study):
    for at, one in zip(best(study), study.proposals, strict=True):
        spot = spot_at(study, at)
        collector = one.design.collector
        assert (spot.east, spot.north, spot.faces) == (collector.east.si, collector.north.si, collector.faces)
    assert spot_at(study, TODAY) is study.today


def test_a_spot_is_taken_as_it_is_told(study):
    sized = [spot for spot in study.grid.tried if study.sized_from(spot)]
    assert len(sized) == len(study.sized) >= len(study.proposals)
    assert all(study.sized_from(spot).standing == spot.standing for spot in sized)
    assert set(study.proposals) <= set(study.sized)
    spot = max(study.grid.tried, key=order)
    assert from_spot(DESIGN, spot, study.today).standing == spot.standing
    today = from_spot(DESIGN, study.today, study.today)
    assert today.standing == study.today.standing and "drafted from where" not in today.reason
    assert today.design.collector.faces == DESIGN.collector.faces


# What is drawn and told


@pytest.mark.parametrize("glyphs", GLYPHS.values(), ids=GLYPHS)
@pytest.mark.parametrize("width", [36, 58, 78, 118])
def test_no_line_is_wider_than_its_room(steps, width, glyphs):
    for study in (steps[0], steps[-1]):
        scene = room_scene(DESIGN)
        points = (*scene.points, *((*place, 0.0) for place in places(study).values()))
        for height in (5, 17):
            sight = fitted(("plan",), points, width, height, "metric")[0]
            for cursor in (TODAY, *best(study), (0, len(study.grid.easts) - 1)):
                for measure in MEASURES:
                    rows = draw_map(study, scene, sight, cursor, measure, glyphs)
                    assert len(rows) == height and all(width_of(row) == width for row in rows)
                    assert glyphs is not ASCII or all(text_of(row).isascii() for row in rows)
                    assert glyphs is not ASCII or legend(study, measure, "metric", glyphs).isascii()
                told = list_lines(ListView(DESIGN, study, cursor, width, height, glyphs))
                assert len(told) <= height and all(width_of(row) <= width for row in told)


def test_the_map_shows_shades_today_the_best_and_the_middles(study):
    scene = room_scene(DESIGN)
    sight = fitted(("plan",), scene.points, 78, 30, "metric")[0]
    for glyphs, shades in ((LINE, "█▓▒░"), (ASCII, "abcd")):
        rows = draw_map(study, scene, sight, TODAY, "air", glyphs)
        text = "\n".join(map(text_of, rows))
        assert all(mark in text for mark in "123T+x") and "planer" in text and "lathe" in text and "[C]" not in text
        for spot in study.grid.tried:
            x, y = sight.cell((spot.east, spot.north, 0.0))
            shade = "!" if spot.troubled else shades[grades(study, "air")[spot]]
            assert text_of(rows[y])[x] in f"{shade}123T+x"
    assert any(text == "T" and "cursor" in role for row in rows for text, role in row)


def test_what_is_in_the_way_or_not_tried_yet_is_marked(steps):
    scene = room_scene(DESIGN)
    sight = fitted(("plan",), scene.points, 78, 30, "metric")[0]
    first = steps[0]
    free = sum(map(sum, first.grid.free))
    text = "\n".join(map(text_of, draw_map(first, scene, sight, best(first)[0], "rank", ASCII)))
    assert text.count(".") >= free - 3  # the marks may hide some
    untried = next(at for at in places(first) if at != TODAY and spot_at(first, at) is None)
    assert "not tried yet" in reasons_of(ListView(DESIGN, first, untried, 78, 9, LINE), untried)
    spots = tuple(tuple(spot and replace(spot, troubled=True) for spot in row) for row in steps[-1].grid.spots)
    barred = replace(steps[-1], grid=replace(steps[-1].grid, spots=spots))
    assert "\n".join(map(text_of, draw_map(barred, scene, sight, TODAY, "air", LINE))).count("!") > 4
    other = next(at for at in places(barred) if at not in best(barred))
    assert "something is in its way" in reasons_of(ListView(DESIGN, barred, other, 78, 9, LINE), other)


def test_the_list_has_numbers_reasons_and_the_two_middles(study):
    for width, height in ((78, 9), (46, 31)):
        text = "\n".join(map(text_of, list_lines(ListView(DESIGN, study, best(study)[0], width, height, LINE))))
        rows = text.splitlines()
        for row, at in zip(rows[1:], [*best(study), TODAY], strict=False):  # reasons follow
            spot = spot_at(study, at)
            assert row.split()[1:4] == [f"{spot.east:.1f}", f"{spot.north:.1f}", spot.faces] and f"{spot.length:.1f}" in row
        assert "+ least total way" in text and "x least longest way" in text and f"{study.longest.way:.1f} m" in text
        assert " ".join(study.proposals[0].reason.split()[:6]) in " ".join(text.split())


def test_machines_without_a_position_are_told():
    nowhere = replace(DESIGN, site=Site(), machines=tuple(replace(machine, east=None, north=None, up=None) for machine in DESIGN.machines))
    *_, study = placements(nowhere, spacing=2.0)
    text = " ".join(text_of(row) for row in list_lines(ListView(nowhere, study, best(study)[0], 46, 40, LINE)))
    assert "planer, lathe: no position" in text and len(room_scene(nowhere).spots) == 2


# The page


def test_spots_lie_wider_in_a_large_hall():
    assert usual_spacing(DESIGN) == 1.0
    hall = tuple(Corner(east=parse(f"{x} m", "length"), north=parse(f"{y} m", "length")) for x, y in ((0, 0), (80, 0), (80, 70), (0, 70)))
    assert usual_spacing(replace(DESIGN, site=replace(DESIGN.site, room=hall))) == 2.0


# The commands


def test_without_a_port_there_is_nothing_to_lay():
    none = replace(two_drops.design(), runs=(), gate_sets=(), machines=())
    for command in (search.SearchLayouts, search.SearchPlacement):
        assert command.why_not(Document(none)) == "no machine has a port: there is nothing to lay out" and command.why_not(None)
        assert command.why_not(Document(DESIGN)) is None
