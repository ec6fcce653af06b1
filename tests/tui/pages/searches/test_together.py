"""The page of gates that may be open together: its lines, its solving beside the session, and what Enter does."""

from __future__ import annotations

import threading

import pytest

from engine.design.places import EndOf
from engine.report.searches.together import WORDS
from engine.search.together.companions import together
from engine.search.together.every_set import Grade
from tests.shops import two_drops
from tests.tui.screen_text import screen_rows, screen_text, session, shows, wait_until
from tests.waiting import LIMIT
from tui.draw.glyphs import ASCII, LINE
from tui.draw.lines import text_of, width_of
from tui.pages.searches import together as page
from tui.pages.searches.together import TogetherScreen
from tui.pages.searches.together_lines import GRADE_MARKS, TogetherView, idle_in, items, names_of_sets, offered
from tui.pages.workbench import Workbench
from tui.work.edits import deleting, editing

USUAL = (80, 24)


@pytest.fixture(scope="module")
def found():
    return together(two_drops.assessed().look)


def view(found, width=78, glyphs=LINE) -> TogetherView:
    return TogetherView(found, found.look.design, width, glyphs)


def texts(shown) -> list[str]:
    return [text_of(line) for item in shown for line in item.lines]


# What it says


def test_every_machine_has_a_row_with_its_grades(found):
    shown = items(view(found))
    for at, one in enumerate(found.companions):
        row = text_of(next(item for item in shown if item.leads == at).lines[0])
        number, name, alone, *marks = row.split()
        assert (number, name, alone) == (str(at + 1), one.machine, WORDS[one.alone])
        assert marks[: len(one.beside)] == [GRADE_MARKS[grade] for grade in one.beside.values()]


def test_the_counts_add_up_to_every_set(found):
    text = " ".join(texts(items(view(found))))
    assert f"all {len(found.sets.grade)} sets of 2 machines" in text
    for grade in Grade:
        assert f"{found.count(grade)} " in text and f"({GRADE_MARKS[grade]})" in text


def test_the_largest_sets_follow_with_flow_and_the_gate_set_they_are(found):
    shown = items(view(found))
    for at, row in enumerate(found.largest):
        item = next(item for item in shown if item.leads == len(found.companions) + at)
        text = text_of(item.lines[0])
        assert " + ".join(row.machines) in text and f"{row.flow * 3600:.0f} m3/h" in text
        known = names_of_sets(found.look.design).get(frozenset(row.machines))
        assert ("gate set" in text) == (known is not None)
        assert row.neediest[0] in " ".join(map(text_of, item.more))


def test_a_machine_that_does_not_pass_alone_is_told_why_and_what_helps():
    """A main wide enough for two is too slow for one: the other gate helps."""
    wide = two_drops.assessed(two_drops.TEXT.replace('bore = "160 mm"', 'bore = "200 mm"'))
    found = together(wide.look)
    one = next(one for one in found.companions if one.alone == Grade.FAILS and one.helpers)
    item = items(view(found, 118))[2 + [known.machine for known in found.companions].index(one.machine)]
    details = " ".join(map(text_of, item.more))
    helper = one.helpers[min(one.helpers)]
    assert one.findings[0].message.split(":")[0] in details
    assert f"open {helper.machines[0]} too, " in details and helper.machines[0] in text_of(item.lines[0])


def test_where_nothing_helps_the_page_says_so():
    weak = two_drops.assessed(
        two_drops.TEXT.replace('pressure = "2400 Pa"', 'pressure = "240 Pa"').replace('pressure = "2150 Pa"', 'pressure = "215 Pa"')
    )
    found = together(weak.look)
    shown = items(view(found))
    assert "no set of machines passes" in texts(shown) and "nothing helps" in texts(shown)[2]
    assert "passes in none of these sets" in " ".join(text_of(line) for line in shown[2].more)


@pytest.mark.parametrize("glyphs", [LINE, ASCII], ids=["line", "ascii"])
@pytest.mark.parametrize("width", [58, 78, 118])
@pytest.mark.parametrize("machines", [2, 30])
def test_no_line_is_wider_than_the_page(machines, width, glyphs):
    text = two_drops.TEXT
    for at in range(machines - 2):
        text += (
            f'\n[[machine]]\nid = "turning lathe by the window {at}"\n[[machine.port]]\nid = "hood"\nbore = "100 mm"\nneeds = "500 m3/h"\n'
            f'[[run]]\nid = "run {at}"\njoins = "main"\nas = "branch"\nsize = "spiral/100"\npieces = [{{ gate = "gate {at}" }}]\n'
            f'ends = "turning lathe by the window {at}/hood"\n'
        )
    found = together(two_drops.assessed(text).look, 2)
    for item in items(view(found, width, glyphs)):
        assert all(width_of(line) <= width for line in (*item.lines, *item.more))
        assert glyphs is LINE or all(text_of(line).isascii() for line in (*item.lines, *item.more))


def test_sets_with_a_machine_are_offered_alone_first(found):
    rows = offered(found, 0)
    assert rows[0].machines == ("planer",)
    assert all("planer" in row.machines for row in rows) and len({row.machines for row in rows}) == len(rows)
    assert {row.machines for row in found.rows(Grade.PASSES) if "planer" in row.machines} <= {row.machines for row in rows}


def test_a_gate_that_helps_where_nobody_may_work_is_offered_too():
    text = two_drops.TEXT.replace('bore = "160 mm"', 'bore = "200 mm"').replace('needs = "500 m3/h"', 'needs = "900 m3/h"')
    found = together(two_drops.assessed(text).look)
    assert not next(iter(found.companions[0].helpers.values())).may_work
    assert [row.machines for row in offered(found, 0)] == [("planer",), ("planer", "lathe")]
    assert idle_in(found, 0, ("planer", "lathe")) == ("lathe",) and idle_in(found, 0, ("planer",)) == ()


def test_a_set_with_a_throttled_gate_is_none_of_those_on_the_page():
    assert frozenset({"planer", "lathe"}) not in names_of_sets(two_drops.design(two_drops.FULL))
    assert names_of_sets(two_drops.design())[frozenset({"planer", "lathe"})] == "both"


def test_the_command_says_why_there_is_nothing_to_combine():
    from tui.work.document import Document

    alone = Document(two_drops.design())
    assert editing.why_not_together(alone) is None
    for at in (1, 3):
        alone.select(EndOf(at))
        deleting.delete(alone)
    assert "no run leads to a machine" in editing.why_not_together(alone)


# In the session


async def test_the_page_opens_adds_a_gate_set_and_goes_back(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, ", slow ")
        await pilot.press("M")
        await shows(pilot, "all 3 sets of 2 machines")
        row = next(row for row in screen_rows(app) if " 1 planer" in row)
        assert "open too" in screen_text(app) and row.split()[3] in WORDS.values()
        await pilot.press("j", "enter")
        await shows(pilot, "add a gate set with lathe")
        await pilot.press("enter")
        await shows(pilot, "added gate set lathe alone")
        assert app.document.gate_set.open == ("lathe",) and app.document.undo_name == "add gate set lathe alone"
        await pilot.press("u")
        await shows(pilot, "undone: add gate set lathe alone")
        assert len(app.document.gate_sets) == 2
        await pilot.press("escape")
        await wait_until(pilot, lambda: isinstance(app.screen, Workbench))


async def test_a_gate_set_there_is_already_is_shown_not_added(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, ", slow ")
        before = app.document.design
        await pilot.press("M")
        await shows(pilot, "all 3 sets")
        screen = app.screen
        both = next(at for at, row in enumerate(screen.pane.found.largest) if len(row.machines) == 2)
        screen.offer(screen.pane.found, 2 + both)
        await shows(pilot, "that is gate set both")
        assert app.document.design is before and app.document.gate_set.name == "both"


async def test_what_was_solved_for_a_design_before_is_dropped(tmp_path, monkeypatch):
    """The first solving is held until the second has shown: it must not take its place."""
    first_may_end, first_ended, calls = threading.Event(), threading.Event(), []

    def held(look):
        calls.append(look)
        if len(calls) > 1:
            return together(look)
        first_may_end.wait(LIMIT)
        found = together(look)
        first_ended.set()
        return found

    monkeypatch.setattr(page, "together", held)
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, ", slow ")
        await pilot.press("M")
        await shows(pilot, "working: every set")
        app.document.switch_units()
        await shows(pilot, "all 3 sets")
        first_may_end.set()
        await wait_until(pilot, first_ended.is_set)
        assert app.screen.pane.found.look is app.assessment.look is calls[1]


async def test_escape_leaves_while_it_is_solving(tmp_path, monkeypatch):
    may_end = threading.Event()
    monkeypatch.setattr(page, "together", lambda look: may_end.wait(LIMIT) and together(look))
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, ", slow ")
        await pilot.press("M")
        await shows(pilot, "working: every set")
        await pilot.press("escape")
        await wait_until(pilot, lambda: isinstance(app.screen, Workbench))
        may_end.set()
        await pilot.press("j")
        await shows(pilot, "2 straight of main")


async def test_a_design_whose_last_machine_goes_leaves_an_empty_page(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, ", slow ")
        await pilot.press("M")
        await shows(pilot, "all 3 sets")
        assert isinstance(app.screen, TogetherScreen)
        for at in (1, 3):
            app.document.select(EndOf(at))
            deleting.delete(app.document)
        await shows(pilot, "no run leads to a machine")
