"""The page of a search: its lines, its progress beside the session, and how a proposal is taken. Designs are invented."""

from __future__ import annotations

import threading
from dataclasses import replace
from math import floor

import pytest

from engine import edits
from engine.checks.assess import assess
from engine.design import Design
from engine.design.places import RunAt
from engine.search.proposals import Proposal, Step, standing
from engine.units import parse
from tests.shops import two_drops
from tests.tui.screen_text import screen_text, session, shows, wait_until
from tests.waiting import LIMIT
from tui.draw.glyphs import ASCII, LINE
from tui.draw.lines import text_of, width_of
from tui.pages.searches.proposal_facts import fact_lines
from tui.pages.searches.proposal_lines import ProposalsView, items, proposal_lines
from tui.pages.searches.proposals import ProposalsScreen
from tui.pages.workbench import Workbench
from tui.work.session import Search

USUAL = (80, 24)


def with_length(design: Design, metres: float) -> Design:
    """The design with another first straight."""
    first = design.runs[0]
    straight = replace(first.pieces[0], length=parse(f"{metres} m", "length"))
    return replace(design, runs=(replace(first, pieces=(straight, *first.pieces[1:])), *design.runs[1:]))


def proposal(design: Design, metres: float, title: str = "") -> Proposal:
    after = with_length(design, metres)
    return Proposal(title or f"main: straight to {metres} m", "because it is tried here", after, standing(assess(after)))


def steps(design: Design, lengths=(1.0, 0.5)):
    found: tuple[Proposal, ...] = ()
    for at, metres in enumerate(lengths, 1):
        found = (proposal(design, metres), *found)
        yield Step(at, len(lengths), f"tried {at} lengths", found)


@pytest.fixture(scope="module")
def shown():
    assessment = two_drops.assessed()
    *_, last = steps(assessment.design)
    return standing(assessment), last, assessment.design


@pytest.mark.parametrize("glyphs", [LINE, ASCII], ids=["line", "ascii"])
@pytest.mark.parametrize("width", [58, 78, 118, 198])
def test_no_line_is_wider_than_the_page(shown, width, glyphs):
    today, step, design = shown
    long = replace(step, said="a word " * 60, proposals=(proposal(design, 2.0, "a very long title indeed " * 6), *step.proposals))
    for item in items(ProposalsView(today, long, True, width, glyphs)):
        assert all(width_of(line) <= width for line in (*item.lines, *item.more))
        assert glyphs is LINE or all(text_of(line).isascii() for line in (*item.lines, *item.more))
    before, after = two_drops.assessed(), assess(step.proposals[0].design)
    for line in (*proposal_lines(design, today, long.proposals[0], width, glyphs), *fact_lines(before, after, width, glyphs)):
        assert width_of(line) <= width


def test_each_proposal_has_a_row_with_its_figures_against_today(shown):
    today, step, _ = shown
    rows = [text_of(item.lines[0]) for item in items(ProposalsView(today, step, False, 78, LINE))]
    assert rows[0] == "tried 2 lengths" and "neediest" in rows[1] and rows[2].split()[:4] == ["as", "it", "is", "now"]
    for row, one in zip(rows[3:], step.proposals, strict=True):
        assert one.title in row and f"{floor(1000 * one.standing.share) / 10} %" in row and "=" not in row  # nothing has a price here


def test_a_proposal_tells_what_it_changes(shown):
    today, step, design = shown
    text = "\n".join(map(text_of, proposal_lines(design, today, step.proposals[0], 78, LINE)))
    assert "-> 0.5 m" in text and "neediest machine" in text and step.proposals[0].reason in text


def test_a_proposal_tells_what_it_does_to_the_air():
    """Another bore of the main: every machine's flow moves, and the run's speeds and loss are told."""
    before = two_drops.assessed()
    after = assess(edits.set_field(before.design, RunAt(0), "bore", parse("125 mm", "bore")))
    text = "\n".join(map(text_of, fact_lines(before, after, 78, LINE)))
    for result, later in zip(before.sets, after.sets, strict=True):
        for port, state in result.balance.ports.items():
            if port.split("/")[0] in result.gate_set.open:
                assert f"{port}, {result.gate_set.name}" in text
                assert f"{state.flow * 3600:.0f} -> {later.balance.ports[port].flow * 3600:.0f}" in text
    assert "runs that change" in text and "m/s, " in text and "findings new" in text
    assert fact_lines(before, before, 78, LINE) == []


async def test_a_proposal_is_looked_at_taken_and_undone(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, ", slow ")
        before = app.document.design
        app.push_screen(ProposalsScreen(Search("lengths of the main", "What lengths do.", steps)))
        await shows(pilot, "tried 2 lengths")
        await wait_until(pilot, lambda: not app.screen.pane.working)
        await pilot.press("j", "enter")
        await shows(pilot, "what changes")
        await pilot.press("escape")
        await shows(pilot, "as it is now")
        await pilot.press("enter")
        await shows(pilot, "what changes")
        await pilot.press("enter")
        await wait_until(pilot, lambda: isinstance(app.screen, Workbench))
        await shows(pilot, "taken, u takes it back: main: straight to 1.0 m")
        assert app.document.design == with_length(before, 1.0)
        await pilot.press("u")
        await wait_until(pilot, lambda: app.document.design == before)


async def test_progress_is_shown_and_the_search_stops_where_it_is(tmp_path):
    go_on, ended = threading.Event(), []

    def search(design):
        try:
            yield Step(1, 4, "tried one", (proposal(design, 1.0),))
            go_on.wait(LIMIT)
            yield Step(2, 4, "tried two", (proposal(design, 1.0), proposal(design, 0.5)))
            yield Step(3, 4, "never wanted", ())
        finally:
            ended.append(True)

    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, ", slow ")
        app.push_screen(ProposalsScreen(Search("lengths", "What lengths do.", search)))
        await shows(pilot, "working 25 %: tried one")
        await pilot.press("x")
        go_on.set()
        await wait_until(pilot, lambda: bool(ended))
        await wait_until(pilot, lambda: not app.screen.pane.working)
        assert "never wanted" not in screen_text(app) and "straight to 1.0 m" in screen_text(app)


async def test_leaving_drops_the_search(tmp_path):
    go_on, ended = threading.Event(), threading.Event()

    def search(_):
        try:
            yield Step(1, 0, "tried one", ())
            go_on.wait(LIMIT)
            yield Step(2, 0, "tried two", ())
            yield Step(3, 0, "tried three", ())
        finally:
            ended.set()

    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, ", slow ")
        app.push_screen(ProposalsScreen(Search("lengths", "What lengths do.", search)))
        await shows(pilot, "tried one")
        await pilot.press("escape")
        await wait_until(pilot, lambda: isinstance(app.screen, Workbench))
        go_on.set()
        assert ended.wait(LIMIT)


async def test_a_change_of_the_design_begins_anew(tmp_path):
    began = []

    def search(design):
        began.append(design)
        yield Step(1, 1, f"search {len(began)}", ())

    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, ", slow ")
        app.push_screen(ProposalsScreen(Search("lengths", "What lengths do.", search)))
        await shows(pilot, "search 1")
        app.document.apply("a change", with_length(app.document.design, 3.0))
        await shows(pilot, "search 2")
        assert began[1] is app.document.design


@pytest.mark.parametrize("glyphs", [ASCII, LINE])
def test_prices_of_layouts_stand_against_the_neediest_with_the_chosen_one_in_reverse(glyphs):
    one = proposal(two_drops.assessed().design, 1.0)
    layouts = tuple(replace(one, standing=replace(one.standing, price=price, share=share)) for price, share in ((400.0, 1.0), (500.0, 1.1)))
    today = replace(one.standing, price=450.0, share=0.9)
    view = ProposalsView(today, Step(2, 2, "", layouts), False, 76, glyphs, charted=True, chosen=1)
    chart = items(view)[1].lines
    assert len(chart) == 7 and max(width_of(spans) for spans in chart) <= 60
    told = [(text, role) for spans in chart for text, role in spans if text in ("1", "2", glyphs.marks["ring"])]
    assert sorted(told) == sorted([("1", "value"), ("2", "cursor"), (glyphs.marks["ring"], "dim")])
    assert "price, 2 layouts" in text_of(chart[-1]) and "110 %" in text_of(chart[0])
    alone = replace(view, step=Step(1, 1, "", layouts[:1]), today=replace(today, price=0.0))
    assert not any("price, " in text_of(spans) for item in items(alone) for spans in item.lines)
