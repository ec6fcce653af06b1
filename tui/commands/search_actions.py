"""The searches behind the commands that look for something better."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from engine.units.words import counted
from tui.commands import search as searches
from tui.commands.actions import does
from tui.commands.base import Command, help_of
from tui.work import editing

if TYPE_CHECKING:
    from engine.design import Design
    from engine.search.proposals import Step
    from tui.app import KerfdraftApp


def _opens(
    command: type[Command], begin: Callable[[KerfdraftApp, Design], Iterator[Step]], caution: Callable[[Design], str] = lambda design: "",
) -> None:  # fmt: skip
    """Let a command open the page of a search."""

    @does(command)
    def open_page(app: KerfdraftApp) -> None:
        from tui.pages.searches.proposals import ProposalsScreen, Search

        app.push_screen(ProposalsScreen(Search(command.title, help_of(command), lambda design: begin(app, design), caution)))


def _remedies(app: KerfdraftApp, design: Design) -> Iterator[Step]:
    from engine.search.remedies import remedies

    return remedies(design, app.assessment if app.assessment.design is design else None)


def _throttles(app: KerfdraftApp, design: Design) -> Iterator[Step]:
    from engine.search.throttling import throttlings

    return throttlings(design, app.assessment if app.assessment.design is design else None)


def _sizes(app: KerfdraftApp, design: Design, *, throttled: bool = False) -> Iterator[Step]:
    from engine.search.sizing import sizes

    return sizes(design, app.assessment if app.assessment.design is design else None, throttled=throttled)


def _throttled_sizes(app: KerfdraftApp, design: Design) -> Iterator[Step]:
    return _sizes(app, design, throttled=True)


def _substitutes(app: KerfdraftApp, design: Design) -> Iterator[Step]:
    from engine.edits import EditError
    from engine.search.proposals import Step
    from engine.search.sizing.substitution import substitutes

    what = editing.substitutable(app.document)
    try:
        yield from substitutes(design, what, app.assessment if app.assessment.design is design else None)
    except EditError as reason:
        yield Step(1, 1, str(reason), ())


def _layouts(app: KerfdraftApp, design: Design) -> Iterator[Step]:
    from engine.search.layouts.drafting import drafts

    for step in drafts(design):
        count = len(step.proposals)
        yield replace(step, said=f"{counted(count, 'layout')} drafted") if count else step


def _replaces_all(design: Design) -> str:
    return "Taking one replaces all ducts there are; u takes it back." if design.runs else ""


@does(searches.SearchPlacement)
def open_placement(app: KerfdraftApp) -> None:
    """Open the page of a placement study, where there is anything to study."""
    from tui.pages.searches.placement import PlacementScreen, usual_spacing

    app.push_screen(PlacementScreen(usual_spacing(app.document.design)))


_opens(searches.SearchLayouts, _layouts, _replaces_all)
_opens(searches.SearchSizes, _sizes)
_opens(searches.SearchThrottledSizes, _throttled_sizes)
_opens(searches.SearchSubstitutes, _substitutes)
_opens(searches.SearchRemedies, _remedies)
_opens(searches.SearchThrottles, _throttles)
