"""The page of a placement in the session, by keys."""

from __future__ import annotations

import threading
from dataclasses import replace

import pytest

from engine.units import parse
from tests.shops import placed_drops
from tests.tui.pages.searches.test_placement import SIZES, USUAL, opened, studied, study_of
from tests.tui.screen_text import compare_with_golden, screen_rows, screen_text, session, shows, wait_until
from tests.waiting import LIMIT
from tui.pages.searches.placement import PlacementScreen
from tui.pages.searches.placement_map import MEASURES, TODAY, best, places, spot_at
from tui.pages.searches.proposal import ProposalScreen
from tui.pages.workbench import Workbench


@pytest.fixture(autouse=True)
def _own_folders(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.delenv("NO_COLOR", raising=False)


@pytest.mark.parametrize("glyphs", ["line", "ascii"])
@pytest.mark.parametrize("size", ["80x24", "120x36"])
async def test_the_page(tmp_path, size, glyphs):
    app = session(tmp_path, text=placed_drops.TEXT, glyphs=glyphs)
    async with app.run_test(size=SIZES[size]) as pilot:
        await studied(pilot, app)
        compare_with_golden(f"placement_{glyphs}_{size}", screen_text(app))


@pytest.mark.parametrize("size", SIZES)
async def test_the_page_is_complete_at_every_size(tmp_path, size):
    app = session(tmp_path, text=placed_drops.TEXT)
    async with app.run_test(size=SIZES[size]) as pilot:
        await studied(pilot, app)
        for measure in MEASURES:
            rows = screen_rows(app)
            assert len(rows) == SIZES[size][1] and max(map(len, rows)) <= SIZES[size][0]
            for text in ("spots tried", f"{measure} █", "1. ", "T  ", "least total", "? help  q quit"):
                assert any(text in row for row in rows), (text, measure)
            await pilot.press("v")
            await pilot.pause()


async def test_the_best_is_looked_at_taken_and_undone(tmp_path):
    app = session(tmp_path, text=placed_drops.TEXT)
    async with app.run_test(size=USUAL) as pilot:
        await studied(pilot, app)
        before, proposals = app.document.design, app.screen.pane.study.proposals
        await pilot.press("2")
        await shows(pilot, "before and after")
        await pilot.press("escape")
        await shows(pilot, "2. ")
        await pilot.press("enter")
        await shows(pilot, "before and after")
        await pilot.press("enter")
        await wait_until(pilot, lambda: isinstance(app.screen, Workbench))
        await shows(pilot, "taken, u takes it back: collector at")
        assert app.document.design == proposals[1].design
        await pilot.press("u")
        await wait_until(pilot, lambda: app.document.design is before and app.document.undo_name is None)


async def test_any_spot_is_drafted_again_when_looked_at(tmp_path):
    app = session(tmp_path, text=placed_drops.TEXT)
    async with app.run_test(size=USUAL) as pilot:
        await studied(pilot, app)
        pane = app.screen.pane
        await pilot.press("tab", "shift+tab", "shift+tab")
        assert pane.cursor_on(pane.study) == TODAY
        await pilot.press("left")
        assert pane.cursor_on(pane.study) != TODAY
        pane._go_to(next(at for at in places(pane.study) if at not in (*best(pane.study), TODAY)))
        spot = spot_at(pane.study, pane.cursor_on(pane.study))
        await pilot.press("enter")
        await wait_until(pilot, lambda: isinstance(app.screen, ProposalScreen))
        await pilot.press("enter")
        await wait_until(pilot, lambda: isinstance(app.screen, Workbench))
        collector = app.document.design.collector
        assert (collector.east.si, collector.north.si, collector.faces) == (spot.east, spot.north, spot.faces)


async def test_progress_stop_and_a_spot_not_tried(tmp_path):
    go_on = threading.Event()

    def slow(design):
        for step in study_of(design):
            yield step
            go_on.wait(LIMIT)

    app = session(tmp_path, text=placed_drops.TEXT)
    async with app.run_test(size=USUAL) as pilot:
        await opened(pilot, app, slow)
        await shows(pilot, "working: 1 of ")
        pane = app.screen.pane
        pane._go_to(next(at for at in places(pane.study) if at != TODAY and spot_at(pane.study, at) is None))
        await wait_until(pilot, lambda: "?" in screen_text(app).replace("? help", ""))
        await pilot.press("enter")
        await shows(pilot, "this spot is not tried yet")
        await pilot.press("x")
        go_on.set()
        await shows(pilot, "stopped after 2 of ")
        await pilot.press("1")
        await shows(pilot, "before and after")


async def test_leaving_drops_the_study(tmp_path):
    go_on, ended = threading.Event(), threading.Event()

    def slow(design):
        try:
            for step in study_of(design):
                yield step
                go_on.wait(LIMIT)
        finally:
            ended.set()

    app = session(tmp_path, text=placed_drops.TEXT)
    async with app.run_test(size=USUAL) as pilot:
        await opened(pilot, app, slow)
        await pilot.press("escape")
        await wait_until(pilot, lambda: isinstance(app.screen, Workbench))
        go_on.set()
        assert ended.wait(LIMIT)


async def test_a_change_of_the_design_begins_anew(tmp_path):
    began = []

    def watched(design):
        began.append(design)
        yield from study_of(design)

    app = session(tmp_path, text=placed_drops.TEXT)
    async with app.run_test(size=USUAL) as pilot:
        await opened(pilot, app, watched)
        machines = app.document.design.machines
        renamed = (machines[0], replace(machines[1], id="bowl lathe"))
        app.document.apply("a change", replace(app.document.design, machines=renamed, runs=(), gate_sets=()))
        await shows(pilot, "bowl lathe")
        await shows(pilot, "spots tried")
        assert began[-1] is app.document.design


async def test_spots_lie_nearer_together_or_farther_apart(tmp_path, monkeypatch):
    monkeypatch.setattr("tui.pages.searches.placement.elsewhere", lambda search, *given: search(*given))
    app = session(tmp_path, text=placed_drops.TEXT)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, ", slow ")
        app.push_screen(PlacementScreen(2.0))
        await shows(pilot, "spots 2 m apart")
        await shows(pilot, "spots tried")
        few = app.screen.pane.study.of
        await pilot.press("plus")
        await shows(pilot, "spots 1 m apart")
        await wait_until(pilot, lambda: app.screen.pane.study is not None and app.screen.pane.study.of > few)
        app.screen.spacing = 0.39
        await pilot.press("plus")
        await shows(pilot, "nearer than anybody measures")


async def test_layouts_are_drafted_from_the_key(tmp_path):
    app = session(tmp_path, text=placed_drops.TEXT)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, ", slow ")
        before = app.document.design
        await pilot.press("L")
        await shows(pilot, "layouts drafted")
        assert "Taking one replaces all ducts" in screen_text(app)
        await pilot.press("enter")
        await shows(pilot, "before and after")
        await pilot.press("enter")
        await shows(pilot, "taken, u takes")
        assert app.document.design.runs != before.runs and app.document.design.machines == before.machines
        await pilot.press("u")
        await wait_until(pilot, lambda: app.document.design is before)


async def test_a_placement_is_studied_from_the_key_or_refused_with_its_reason(tmp_path):
    app = session(tmp_path, text=placed_drops.TEXT)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, ", slow ")
        await pilot.press("P")
        await shows(pilot, " spots")
        await pilot.press("escape")
        await wait_until(pilot, lambda: isinstance(app.screen, Workbench))
        small = tuple(replace(corner, east=parse(f"{corner.east.si / 20} m", "length")) for corner in app.document.design.site.room)
        app.document.apply("a narrow room", replace(app.document.design, site=replace(app.document.design.site, room=small)))
        await pilot.press("P")
        await shows(pilot, "no spot on the floor is free")
        assert isinstance(app.screen, Workbench)
