"""The pages: which stands behind each name, and those that need more than a name. A module is imported when it is first wanted."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.pages.frame.frame import FrameScreen
from tui.work.asking import Choice
from tui.work.document import Document
from tui.work.session import Page, Search, Session

if TYPE_CHECKING:
    from tui.keep.journal import LeftBehind
    from tui.keep.keeper import Keeper


def page(name: Page, session: Session, front: FrameScreen) -> FrameScreen:
    """A new page of that name; `front` is the one it is opened from. Raises Refused where there is nothing for it to show."""
    match name:
        case Page.PLAN:
            from tui.pages.plan import PlanScreen

            return PlanScreen()
        case Page.TOGETHER:
            from tui.pages.searches.together import TogetherScreen

            return TogetherScreen()
        case Page.BORES:
            from tui.pages.searches.bores import BoresScreen

            run = session.document.selected_run
            assert run is not None  # or the command would have been refused
            return BoresScreen(session.assessment, run.id)
        case Page.PLACEMENT:
            from tui.pages.searches.placement import PlacementScreen, usual_spacing

            return PlacementScreen(usual_spacing(session.document.design))
        case Page.PARTS:
            from tui.pages.parts.screen import PartsScreen

            return PartsScreen()
        case Page.CARDS | Page.READINGS | Page.CAUSES | Page.UPKEEP:
            return _on_the_ladder(name, session)
        case Page.SAFETY | Page.SHEETS:
            return _to_read(name, session.document)
        case Page.JOB | Page.HELP | Page.PALETTE:
            return _leading_back(name, front)
        case Page.DESIGNS:
            from tui.pages.choosing.files import FilesScreen

            return FilesScreen()
        case Page.NEW_DESIGN:
            from tui.pages.choosing.new_design import NewDesignScreen

            return NewDesignScreen()


def _on_the_ladder(name: Page, session: Session) -> FrameScreen:
    """The pages that fit a screen too small to design in."""
    document = session.opened
    if name in (Page.READINGS, Page.CAUSES):
        from tui.pages.field.readings import ReadingsScreen

        return ReadingsScreen(causes=name == Page.CAUSES)
    if name == Page.UPKEEP:
        from tui.pages.field.upkeep import UpkeepScreen

        return UpkeepScreen()
    from engine.design import Site, defaults
    from tui.pages.field.cards import CardsScreen

    return CardsScreen(document.system, document.design.site) if document else CardsScreen(defaults.UNITS, Site())


def _to_read(name: Page, document: Document) -> FrameScreen:
    """The pages that say something of the design, on the screen or on paper."""
    if name == Page.SHEETS:
        from tui.pages.reading.sheets import SheetsScreen

        return SheetsScreen(document)
    from tui.pages.reading.cautions import CautionsScreen

    return CautionsScreen(document.design)


def _leading_back(name: Page, front: FrameScreen) -> FrameScreen:
    """The pages that tell of the page they are opened from, or send commands there."""
    if name == Page.JOB:
        from tui.pages.job import JobScreen

        return JobScreen(front)
    if name == Page.HELP:
        from tui.pages.reading.help import HelpScreen

        return HelpScreen(front)
    from tui.pages.choosing.palette import PaletteScreen

    return PaletteScreen(front)


def first_pages(document: Document | None, new: Path | None) -> Iterator[FrameScreen]:
    """The pages that a session begins with: on a document, without one, or without one but with the file that a new one is to go to."""
    if document is not None:
        yield workbench()
        return
    from tui.pages.choosing.files import FilesScreen

    yield FilesScreen(first=True)
    if new is not None:
        from tui.pages.choosing.new_design import NewDesignScreen

        yield NewDesignScreen(new)


def workbench() -> FrameScreen:
    """The main page."""
    from tui.pages.workbench import Workbench

    return Workbench()


def choice(title: str, choices: Sequence[Choice], chosen: Callable[[Any], object]) -> FrameScreen:
    """A list to choose from."""
    from tui.pages.choosing.choose import ChooseScreen

    return ChooseScreen(title, choices, chosen)


def search(search: Search) -> FrameScreen:
    """The proposals of a search."""
    from tui.pages.searches.proposals import ProposalsScreen

    return ProposalsScreen(search)


def left_behind(left: LeftBehind, keeper: Keeper) -> FrameScreen:
    """What to do with work that a session left behind."""
    from tui.pages.choosing.unsaved import UnsavedScreen

    return UnsavedScreen(left, keeper)
