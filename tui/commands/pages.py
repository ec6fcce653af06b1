"""Commands that open a page of their own."""

from __future__ import annotations

from tui.commands.base import Looking
from tui.work.document import Document
from tui.work.session import Page, Session


class JobPage(Looking):
    """See all pages in the order of the job, from the survey to upkeep, each with its key and where it stands; the next useful step is marked."""

    keys = ("A",)
    label = "the job"
    title = "the way through the job"

    def do(self, session: Session) -> None:
        """Open the way through the job."""
        session.open(Page.JOB)


class PlanPage(Looking):
    """See the ducts in their room, from above and from the side, with what is open, shut and wrong; move machines and the collector."""

    keys = ("p",)
    label = "plan"
    title = "plan of the room"

    def do(self, session: Session) -> None:
        """Open the plan."""
        session.open(Page.PLAN)


class PartsPage(Looking):
    """See what to buy, with prices, how to cut it from sticks, and where it is hung; it follows the design."""

    keys = ("O",)
    label = "parts"
    title = "parts, cuts and setting out"

    def do(self, session: Session) -> None:
        """Open the parts page."""
        session.open(Page.PARTS)


class CardsPage(Looking):
    """Fill in a quick card: pitot, hood, vane and gauge readings, flow, speed and bore, fittings as pipe; no design is needed."""

    keys = ("E",)
    title = "quick cards"
    also = "convert pitot traverse measure leak"

    def do(self, session: Session) -> None:
        """Open the cards."""
        session.open(Page.CARDS)


class ReadingsPage(Looking):
    """Walk the test sheet with a gauge: what should be read where in each gate set, and what to think of what is; readings go into the design."""

    keys = ("X",)
    title = "test sheet: readings in the field"
    also = "ladder commission measure gauge"

    @staticmethod
    def why_not(document: Document | None) -> str | None:
        """There must be ducts to measure in."""
        return None if document and document.design.runs else "no run yet: nothing to measure in"

    def do(self, session: Session) -> None:
        """Open the test sheet."""
        session.open(Page.READINGS)


class CausesPage(Looking):
    """Find what is wrong by the readings since the baseline: the probable causes, what to look at first, and the reading that tells most."""

    title = "what is wrong, by the readings"
    why_not = staticmethod(ReadingsPage.why_not)

    def do(self, session: Session) -> None:
        """Open the test sheet, with the causes beside it."""
        session.open(Page.CAUSES)


class UpkeepPage(Looking):
    """See what is due in the shop by the log, tick it off, and when the filter wants cleaning."""

    keys = ("Y",)
    title = "upkeep and log"
    also = "filter trend calendar due"

    @staticmethod
    def why_not(document: Document | None) -> str | None:
        """There must be a design to keep a log."""
        return None if document else "no design to keep a log in"

    def do(self, session: Session) -> None:
        """Open the upkeep page."""
        session.open(Page.UPKEEP)


class SafetyPage(Looking):
    """Read the health and safety page: what no computed figure covers."""

    keys = ("H",)
    label = "safety"
    title = "health and safety"

    def do(self, session: Session) -> None:
        """Open the health and safety page."""
        session.open(Page.SAFETY)


class SheetsPage(Looking):
    """Write the sheets for the wall, one page to print: plan, results, parts, cuts, setting out, gate cards; it says how to fetch it over SSH."""

    keys = ("Z",)
    label = "sheets"
    title = "sheets for the wall"

    @staticmethod
    def why_not(document: Document | None) -> str | None:
        """There must be a design to tell of."""
        return None if document else "no design to print"

    def do(self, session: Session) -> None:
        """Open the page that writes them."""
        session.open(Page.SHEETS)


class Palette(Looking):
    """Find a command by its name."""

    keys = (":", "ctrl+p")
    label = "commands"
    title = "command palette"

    def do(self, session: Session) -> None:
        """Open the palette of the page in front."""
        session.open(Page.PALETTE)


class Help(Looking):
    """Show the keys that work here and what they do."""

    keys = ("?", "f1")
    label = "help"
    title = "help"

    def do(self, session: Session) -> None:
        """Open help for what has the focus."""
        session.open(Page.HELP)
