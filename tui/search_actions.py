"""The searches behind the commands that look for something better."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from tui import search_commands as searches
from tui.actions import does
from tui.command_base import Command, help_of

if TYPE_CHECKING:
    from engine.design import Design
    from engine.proposals import Step
    from tui.app import KerfdraftApp


def _opens(command: type[Command], begin: Callable[[KerfdraftApp, Design], Iterator[Step]]) -> None:
    """Let a command open the page of a search."""

    @does(command)
    def open_page(app: KerfdraftApp) -> None:
        from tui.screens.proposals import ProposalsScreen, Search

        app.push_screen(ProposalsScreen(Search(command.title, help_of(command), lambda design: begin(app, design))))


def _remedies(app: KerfdraftApp, design: Design) -> Iterator[Step]:
    from engine.remedies import remedies

    return remedies(design, app.assessment if app.assessment.design is design else None)


def _throttles(app: KerfdraftApp, design: Design) -> Iterator[Step]:
    from engine.throttling import throttlings

    return throttlings(design, app.assessment if app.assessment.design is design else None)


_opens(searches.SearchRemedies, _remedies)
_opens(searches.SearchThrottles, _throttles)
