"""How sure the flows are: computed in good time, shown where flows are, and never in a key's way."""

from __future__ import annotations

import re
from math import floor

import pytest

from engine.air.band import Band
from engine.air.bands import bands as all_bands
from engine.design.places import COLLECTOR, MachineAt, PieceAt, RunAt
from tests.shops import two_drops
from tests.tui.screen_text import screen_rows, screen_text, session, shows, wait_until
from tui.draw.glyphs import ASCII, LINE
from tui.draw.lines import text_of, width_of
from tui.panes.results import now, sets
from tui.panes.results.view import View, figure
from tui.work.known_bands import KnownBands

USUAL = (80, 24)


@pytest.fixture(scope="module")
def assessment():
    return two_drops.assessed()


@pytest.fixture(scope="module")
def bands(assessment) -> dict[int, dict[str, Band]]:
    return dict(enumerate(all_bands(assessment.design, assessment.tree, assessment.sets)))


# A flow with its band, and a share with its own.
FLOW, SHARE = (re.compile(pattern) for pattern in (r"\d \+\d+ -\d+ ", r"%\+\d+-\d+"))


SELECTED = RunAt(1)


def view(assessment, bands=None, index=1, place=SELECTED, width=39, glyphs=LINE) -> View:
    return View(assessment, index, place, width, 8, glyphs, bands=bands or {})


def texts(items) -> list[str]:
    return [text_of(line) for item in items for line in item.lines]


# Computing


def test_bands_are_those_of_the_engine_and_are_computed_once(assessment, bands, monkeypatch):
    known = KnownBands()
    known.follow(assessment)
    known.learn(1)
    assert dict(known.known) == {1: bands[1]}
    monkeypatch.setattr("engine.air.bands.band", lambda *_: pytest.fail("computed again"))
    known.learn(1)


def test_a_part_at_a_time_until_all_are_known(assessment, bands):
    known = KnownBands()
    known.follow(assessment)
    lengths = []
    while not all(map(known.knows, bands)):
        known.learn_more()
        lengths.append(len(known.known))
    assert lengths == [0, 1, 2]
    assert {at: dict(found) for at, found in known.known.items()} == bands


def test_another_assessment_forgets_them(assessment):
    known = KnownBands()
    known.follow(assessment)
    known.learn(0)
    known.follow(assessment)
    assert known.knows(0)
    known.follow(two_drops.assessed())
    assert not known.knows(0)


# now


def test_now_shows_the_band_of_a_port_and_of_the_run_that_ends_there(assessment, bands):
    flow, band = assessment.sets[1].balance.ports["planer/hood"].flow, bands[1]["planer/hood"]
    told = f"flow {3600 * flow:.0f} +{3600 * (band.high - flow):.0f} -{3600 * (flow - band.low):.0f} m3/h"
    for place in (RunAt(1), PieceAt(1, 0), MachineAt(0)):
        assert f"{told}, needs 820" in " ".join(texts(now.items(view(assessment, bands, place=place))))
    assert f"flow {3600 * flow:.0f} m3/h, needs 820" in " ".join(texts(now.items(view(assessment))))


def test_now_shows_none_for_a_run_that_ends_at_no_port_or_is_shut(assessment, bands):
    for index, place in ((1, RunAt(0)), (0, RunAt(3)), (1, COLLECTOR)):
        shown = view(assessment, bands, index, place)
        assert now.port_shown(shown) is None
        assert not FLOW.search(" ".join(texts(now.items(shown))))


def test_an_edit_marks_the_flow_and_the_band_stands_behind_the_new_one():
    assert text_of(figure("flow", "flow", "metric", 1043 / 3600, 1020 / 3600, " +26 -31")) == "flow 1020 -> 1043 +26 -31 m3/h"
    assert text_of(figure("flow", "flow", "metric", 1043 / 3600, 1043 / 3600, " +26 -31")) == "flow 1043 +26 -31 m3/h"


# sets


@pytest.mark.parametrize("glyphs", [LINE, ASCII], ids=["line", "ascii"])
@pytest.mark.parametrize("width", [39, 80])
def test_sets_shows_the_band_of_the_neediest_machine_and_nothing_moves_for_it(assessment, bands, width, glyphs):
    without = sets.items(view(assessment, width=width, glyphs=glyphs))
    with_bands = sets.items(view(assessment, bands, width=width, glyphs=glyphs))
    for at, (old, new) in enumerate(zip(without[1:], with_bands[1:], strict=True)):
        port, share = assessment.neediest(assessment.sets[at])
        state, band = assessment.sets[at].balance.ports[port], bands[at][port]
        up, down = band.high - state.flow, state.flow - band.low
        row, told = text_of(new.lines[0]), f"+{100 * up / state.needs:.0f}-{100 * down / state.needs:.0f}"
        assert f"{floor(100 * share)}%{told}" in row and width_of(new.lines[0]) <= width
        assert text_of(old.lines[0]) == row.replace(told, " " * len(told))
        unfolded = " ".join(text_of(line).strip() for line in new.more)
        assert f"{port} gets {state.flow * 3600:.0f} +{up * 3600:.0f} -{down * 3600:.0f}, needs {state.needs * 3600:.0f} m3/h" in unfolded
        assert f"{port} gets {state.flow * 3600:.0f}, needs {state.needs * 3600:.0f} m3/h" in " ".join(text_of(line).strip() for line in old.more)


def test_a_set_of_which_no_band_can_be_told_shows_none(assessment, bands):
    items = sets.items(view(assessment, {0: {}, 1: bands[1]}))
    assert not SHARE.search(text_of(items[1].lines[0])) and SHARE.search(text_of(items[2].lines[0]))


# In the session


async def test_the_band_of_the_flow_shown_follows_each_edit(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        app.document.select(PieceAt(1, 1))
        await wait_until(pilot, lambda: FLOW.search(screen_text(app)))
        before = next(row for row in screen_rows(app) if FLOW.search(row))
        await pilot.press("e", "9")
        await wait_until(pilot, lambda: any(FLOW.search(row) and row != before for row in screen_rows(app)))
        await wait_until(pilot, lambda: app.screen.results._learning is None)


async def test_the_bands_of_all_sets_come_when_the_tab_is_shown_and_an_edit_ends_that(tmp_path, monkeypatch):
    monkeypatch.setattr("tui.panes.results.results_pane._IDLE", 0.05)
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, ", slow ")
        results = app.screen.results
        assert not results._bands.known
        await pilot.press("t")
        await wait_until(pilot, lambda: sum(bool(SHARE.search(row)) for row in screen_rows(app)) == 2)
        assert results._learning is None
        monkeypatch.setattr("tui.panes.results.results_pane._IDLE", 60.0)
        app.document.switch_units()
        await shows(pilot, "cfm")
        assert not SHARE.search(screen_text(app)) and results._learning is not None
        await pilot.press("t")
        assert results._learning is None


async def test_an_enlarged_pane_beside_it_does_no_harm(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        app.document.select(RunAt(1))
        await wait_until(pilot, lambda: FLOW.search(screen_text(app)))
        await pilot.press("z")
        await wait_until(pilot, lambda: "3 results" not in screen_text(app))
        app.document.switch_units()
        app.document.select(RunAt(3))
        app.document.show_gate_set(1)
        await pilot.press("z")
        await wait_until(pilot, lambda: "needs 294" in screen_text(app) and FLOW.search(screen_text(app)))
