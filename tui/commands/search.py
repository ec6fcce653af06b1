"""Commands that look for what would be better, or may be had: each opens a page, most of them computed beside the session."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from engine.design import system
from engine.design.places import ChoiceAt
from tui.commands.base import Looking, help_of
from tui.terminal.elsewhere import elsewhere
from tui.work import searches
from tui.work.edits import editing
from tui.work.session import Coming, Page, Search, Session

if TYPE_CHECKING:
    from engine.checks.assess import Assessment
    from engine.design import Design


class Searching(Looking):
    """A command that opens the page of a search."""

    def begin(self, session: Session, design: Design) -> Coming:
        """The search from a design; a thread of its own asks for the steps. One that may take seconds is made `elsewhere`."""
        raise NotImplementedError

    def search(self, session: Session) -> Search:
        """What the page shows."""
        return Search(self.title, help_of(type(self)), lambda design: self.begin(session, design))

    def do(self, session: Session) -> None:
        """Open the page."""
        session.search(self.search(session))


def _assessed(session: Session, design: Design) -> Assessment | None:
    """What is known of the design, if it is what was last computed."""
    return session.assessment if session.assessment.design is design else None


class TogetherPage(Looking):
    """See which machines may work at once: every set of them solved, what each may work with, and what helps it."""

    keys = ("M",)
    label = "together"
    title = "which gates may be open together"
    why_not = staticmethod(editing.why_not_together)

    def do(self, session: Session) -> None:
        """Open the page of every set of machines."""
        session.open(Page.TOGETHER)


class SearchRemedies(Searching):
    """Try every sensible single change, then pairs of the best, and list what helps and makes nothing worse that matters."""

    keys = ("R",)
    label = "remedies"
    title = "what to change first"
    why_not = staticmethod(editing.why_not_together)

    def begin(self, session: Session, design: Design) -> Coming:
        """The search for remedies."""
        from engine.search.remedies import remedies

        return remedies(design, _assessed(session, design))


class Sizing(Searching):
    """A search for the size of every run; `throttled`: for a shop that throttles every gate."""

    throttled: ClassVar[bool] = False
    why_not = staticmethod(editing.why_not_together)

    def begin(self, session: Session, design: Design) -> Coming:  # noqa: ARG002  # searched from the design alone
        """The search for sizes."""
        return elsewhere(searches.sizes, design, self.throttled)


class SearchSizes(Sizing):
    """Choose a size that the store has for every run, so that in every gate set each machine gets its air and no run is slow or fast."""

    keys = ("D",)
    label = "sizes"
    title = "sizes from what the store has"


class SearchLayouts(Searching):
    """Lay ducts anew from where machines and collector stand, in several ways, best first: one takes the place of all ducts there are."""

    keys = ("L",)
    label = "layouts"
    title = "drafted layouts"
    why_not = staticmethod(editing.why_nothing_to_lay)

    def search(self, session: Session) -> Search:
        """The drafting, with the caution that the ducts there are go."""
        return replace(super().search(session), caution=_replaces_all, pictured=True)

    def begin(self, session: Session, design: Design) -> Coming:  # noqa: ARG002  # drafted from the design alone
        """The layouts, as they are drafted."""
        return elsewhere(searches.layouts, design)


def _replaces_all(design: Design) -> str:
    return "Taking one replaces all ducts there are; u takes it back." if design.runs else ""


class SearchPlacement(Looking):
    """Find where the collector would stand best: ducts drafted and judged from every spot of a grid, shown on a map of the room."""

    keys = ("P",)
    label = "placement"
    title = "where the collector could stand"
    why_not = staticmethod(editing.why_nothing_to_lay)

    def do(self, session: Session) -> None:
        """Open the page of a placement study, where there is anything to study."""
        session.open(Page.PLACEMENT)


class SearchCollectors(Searching):
    """Try the collectors that the design names as choices, each over every gate set; and see what the hardest set asks of one. There a adds one."""

    keys = ("Q",)
    label = "collector"
    title = "which collector"
    why_not = staticmethod(editing.why_not_together)

    def search(self, session: Session) -> Search:
        """The choices, with what the present collector is asked for."""
        return replace(super().search(session), caution=_asked, adds=_ask_for_choice)

    def begin(self, session: Session, design: Design) -> Coming:
        """The choices, tried one by one."""
        from engine.search.collectors import choices

        return choices(design, _assessed(session, design))


def _asked(design: Design) -> str:
    from engine.report.searches.collectors import verdict
    from tui.work.fields.choice_lines import example_of_choice

    example = example_of_choice(system(design))
    return verdict(design) if design.collector_choices else f"{verdict(design)} a adds one to choose from, in a line: {example}."


def _ask_for_choice(session: Session) -> None:
    """Ask for a collector to choose from, and put it into the design."""
    from engine.design.typed import BadValue
    from tui.work.asking import Prompt
    from tui.work.fields.choice_lines import with_choice

    document = session.document
    last = len(document.design.collector_choices)

    def check(text: str) -> str | None:
        try:
            with_choice(document.design, last, text)
        except BadValue as reason:
            return str(reason)
        return None

    def take(text: str) -> None:
        session.attempt(lambda: document.apply("collector to choose from", with_choice(document.design, last, text), ChoiceAt(last)))

    session.ask(Prompt("one more (name: points; price):", "", take, check))


class SearchSubstitutes(Searching):
    """What to take instead of the size that is selected, a run's or one of the stock; what a size that no run has would bring."""

    keys = ("n",)
    label = "not in store"
    title = "what to take instead of this size"
    why_not = staticmethod(editing.why_no_substitute)

    def begin(self, session: Session, design: Design) -> Coming:
        """The search for what to take instead; a step that says why where there is nothing to."""
        from engine.edits import EditError
        from engine.search.proposals import Step
        from engine.search.sizing.substitution import gains, substitutes

        what = editing.substitutable(session.document)
        if what is None:  # undo has moved the selection meanwhile
            yield Step(1, 1, editing.why_no_substitute(session.document) or "", ())
            return
        try:
            idle = "/" in what and all(what not in (run.id, run.size) for run in design.runs)
            yield from (gains if idle else substitutes)(design, what, _assessed(session, design))
        except EditError as reason:
            yield Step(1, 1, str(reason), ())


class SearchThrottledSizes(Sizing):
    """Choose sizes for a shop that throttles every gate to its machine's need: the flows are then known beforehand."""

    title = "sizes where every gate is throttled"
    throttled = True


class Throttles(Searching):
    """Which gates to leave how far open."""

    why_not = staticmethod(editing.why_no_throttling)
    even: ClassVar[bool] = False

    def begin(self, session: Session, design: Design) -> Coming:
        """The search for throttles."""
        from engine.search.throttling import throttlings

        return throttlings(design, _assessed(session, design), self.even)


class SearchThrottles(Throttles):
    """Where several machines work at once: which gate to leave how far open so that each gets what it needs."""

    keys = ("B",)
    label = "balance"
    title = "balance by gates left part open"


class SearchEvenThrottles(Throttles):
    """Where several machines work at once: the gates that divide the air most evenly, even where all have their need."""

    keys = ("percent_sign",)
    title = "balance as evenly as can be"
    even = True


class BoresPage(Looking):
    """See the stocked bores beside the selected run's: the flows at which each is neither slow nor fast, and the friction of a metre of it."""

    keys = ("V",)
    label = "bores"
    title = "stocked bores for this run"
    why_not = staticmethod(editing.why_no_run)

    def do(self, session: Session) -> None:
        """Open the page of stocked bores."""
        session.open(Page.BORES)
