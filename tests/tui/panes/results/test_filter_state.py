"""The state of the filter: one key, and the title row says which."""

from __future__ import annotations

from tests.shops import two_drops
from tests.tui.screen_text import screen_rows, session, shows, wait_until

USUAL = (80, 24)


async def test_a_key_takes_the_next_state_and_the_flow_follows(tmp_path):
    app = session(tmp_path, text=two_drops.FULL)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, ", slow ")
        flows = [app.assessment.sets[0].balance.flow]
        assert "filter" not in screen_rows(app)[0]
        for state in ("dirty", "clean"):
            await pilot.press("y")
            await wait_until(pilot, lambda: f"{state} filter · gates: planer alone" in screen_rows(app)[0])
            await wait_until(pilot, lambda: app.assessment.design is app.document.design)
            flows.append(app.assessment.sets[0].balance.flow)
            await wait_until(pilot, lambda: "main speed" in screen_rows(app)[22])
        assert flows[1] < flows[0] < flows[2]
        await pilot.press("y")
        await wait_until(pilot, lambda: "filter" not in screen_rows(app)[0])
        assert not app.document.dirty


async def test_where_it_changes_nothing_the_reason_is_given(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, ", slow ")
        await pilot.press("y")
        await shows(pilot, "no loss of the collector has a value for a clean or a dirty filter")
        assert app.document.undo_name is None
