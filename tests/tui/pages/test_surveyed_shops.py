"""Three shops put in from nothing by their keys at 80x24, the keys counted, and what becomes of them."""

from __future__ import annotations

from textual import events
from textual.pilot import Pilot

from engine.checks.assess import assess
from engine.design import Design
from engine.design.rules.consistency import mistakes
from engine.search.layouts.shop import why_no_ducts
from engine.survey.answers import finished, wanted
from engine.units.ranges import Range
from tests.shops.surveyed_shops import BARGE_YARD, KITE_LOFT, OLD_FORGE, PAGE_DOWN, keys
from tests.tui.pages.test_interview_session import begin
from tests.tui.screen_text import compare_with_golden, screen_text, shows, wait_until
from tui.app import KerfdraftApp
from tui.draw.glyphs import ASCII
from tui.pages.interview.files import unfinished
from tui.pages.interview.screen import InterviewScreen
from tui.terminal.look import Look

MOST_KEYS = 250
# N on the list of designs, Enter on the interview, and Enter on the first draft.
AROUND = 3


async def say(pilot: Pilot, screen: InterviewScreen, lines: tuple[str, ...]) -> None:
    """Type lines, Enter or Page Down behind each; none may be refused."""
    for line in lines:
        typed = line.removesuffix(PAGE_DOWN)
        if typed.startswith("<"):
            await pilot.press(typed[1:-1])
        else:
            for letter in typed:
                pilot.app.focused.post_message(events.Key(letter, letter))
            await pilot.pause()
        await pilot.press("enter" if typed == line else "pagedown")
        assert "will not do" not in screen_text(pilot.app), f"{line}\n{screen_text(pilot.app)}"
    await wait_until(pilot, lambda: screen.answers.at == "draft")


async def put_in(name: str, lines: tuple[str, ...]) -> Design:
    """The shop that is put in, in a session of its own; its last screen is compared with what it was."""
    app = KerfdraftApp(None, Look(glyphs=ASCII))
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begin(pilot)
        await say(pilot, screen, lines)
        await shows(pilot, "> ")
        compare_with_golden(f"surveyed_{name}", screen_text(app))
        assert wanted(screen.answers) == {}
        return finished(screen.answers)


async def test_a_metric_shop_of_seven_machines_takes_at_most_250_keys():
    assert keys(KITE_LOFT) + AROUND <= MOST_KEYS
    shop = await put_in("kite_loft", KITE_LOFT)
    assert (shop.name, len(shop.machines), len(shop.site.room), shop.site.joists) == ("Kite loft", 7, 4, "east-west")
    assert [zone.kind for zone in shop.site.zones] == ["door", "open door", "door", "open door", "post", "window"]
    assert [point.pressure.text for point in shop.collector.curve] == ["2400 Pa", "2150 Pa", "1200 Pa", "0 Pa"]
    assert mistakes(shop) == () and why_no_ducts(shop) is None


async def test_an_imperial_shop_with_ranges_of_flow_and_a_stair():
    assert keys(BARGE_YARD) + AROUND <= MOST_KEYS
    shop = await put_in("barge_yard", BARGE_YARD)
    assert (shop.display, [machine.id for machine in shop.machines][3:5]) == ("imperial", ["band saw", "band saw 2"])
    assert [zone.name for zone in shop.site.zones][-1] == "stairs"
    assert [isinstance(machine.ports[0].needs, Range) for machine in shop.machines] == [False, True, False, False, False, True]
    assert [made.open for made in shop.gate_sets][-2:] == [("planer", "table saw"), ("band saw", "band saw 2")]
    assert shop.machines[2].moves and mistakes(shop) == () and why_no_ducts(shop) is None


async def test_a_room_of_six_corners_with_ducts_that_hang_goes_on_in_the_workbench():
    app = KerfdraftApp(None, Look(glyphs=ASCII))
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begin(pilot)
        await say(pilot, screen, OLD_FORGE)
        await shows(pilot, "> ")
        compare_with_golden("surveyed_old_forge", screen_text(app))
        await pilot.press("enter")
        await shows(pilot, "1 ducts")
        design = app.document.design
        assert app.document.unsaved and unfinished() == []
        await pilot.press("u")
        await wait_until(pilot, lambda: app.document.design.runs == ())
    assert len(design.site.room) == 6 and all(run.kept and run.state == "hung" for run in design.runs)
    assert {run.ends.split("/")[0] for run in design.runs if run.ends} == {machine.id for machine in design.machines}
    assert mistakes(design) == () and all(result.balance for result in assess(design).sets)
