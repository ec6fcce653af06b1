"""Whole screens, compared as text with those kept in tests/golden (see screen_text for how to write them anew)."""

from __future__ import annotations

import re

import pytest

from engine.design.places import COLLECTOR, PieceAt, RunAt
from tests.shops import two_drops
from tests.tui.screen_text import compare_with_golden, screen_text, session, shows, wait_until

IMPERIAL = two_drops.TEXT.replace('[b]"', '[b]"\ndisplay = "imperial"')
SIZES = {"60x18": (60, 18), "80x24": (80, 24), "120x36": (120, 36), "200x60": (200, 60)}


@pytest.fixture(autouse=True)
def _own_folders(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.delenv("NO_COLOR", raising=False)


@pytest.mark.parametrize("size", SIZES)
async def test_the_main_screen_at_its_start(tmp_path, size):
    app = session(tmp_path)
    async with app.run_test(size=SIZES[size]) as pilot:
        await shows(pilot, ", slow ")
        await shows(pilot, "q quit")
        compare_with_golden(f"start_{size}", screen_text(app))


@pytest.mark.parametrize("size", SIZES)
async def test_a_value_that_will_not_do(tmp_path, size):
    app = session(tmp_path)
    async with app.run_test(size=SIZES[size]) as pilot:
        app.document.select(PieceAt(0, 0))
        await shows(pilot, "2 straight of main")
        await pilot.press("e", "5", "k", "g")
        await wait_until(pilot, lambda: app.up_to_date and app.document.dirty and "Esc restore" in screen_text(app))
        compare_with_golden(f"bad_value_{size}", screen_text(app))


@pytest.mark.parametrize("size", SIZES)
async def test_the_curve_in_ascii(tmp_path, size):
    app = session(tmp_path, text=IMPERIAL, glyphs="ascii")
    async with app.run_test(size=SIZES[size]) as pilot:
        app.document.select(COLLECTOR)
        app.document.show_gate_set(1)
        await wait_until(pilot, lambda: "both 2/2" in screen_text(app))
        await pilot.press("3", "right", "right", "right")
        await shows(pilot, "meet at")
        await shows(pilot, "<- -> tab")
        compare_with_golden(f"curve_ascii_{size}", screen_text(app))


@pytest.mark.parametrize("size", SIZES)
async def test_the_gate_sets_with_their_bands(tmp_path, size):
    app = session(tmp_path, text=two_drops.FULL)
    async with app.run_test(size=SIZES[size]) as pilot:
        app.document.select(RunAt(1))
        await pilot.press("y")
        await shows(pilot, "dirty filter")
        await pilot.press("3", "right")
        bands = 0 if size == "60x18" else 2  # where there is room for them
        await wait_until(pilot, lambda: len(re.findall(r"%\+\d+-\d+", screen_text(app))) == bands and "show set" in screen_text(app))
        compare_with_golden(f"sets_{size}", screen_text(app))


@pytest.mark.parametrize("glyphs", ["line", "ascii"])
@pytest.mark.parametrize("size", SIZES)
async def test_the_page_of_gates_that_may_be_open_together(tmp_path, size, glyphs):
    app = session(tmp_path, text=two_drops.TEXT.replace('bore = "160 mm"', 'bore = "190 mm"'), glyphs=glyphs)
    async with app.run_test(size=SIZES[size]) as pilot:
        await shows(pilot, ", slow ")
        await pilot.press("M")
        await shows(pilot, "open lathe too")
        await wait_until(pilot, lambda: "add as gate set" in screen_text(app))
        compare_with_golden(f"together_{glyphs}_{size}", screen_text(app))
