"""A search as a list: proposals as they are found; Enter shows one beside the design, Enter again takes it."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.getters import query_one

from engine.design import Design
from engine.report.searches.sizing import ESTIMATE
from engine.search.proposals import Proposal, Standing, Step
from engine.search.ranking import IN_WORDS
from tui.draw.lines import Line
from tui.pages.searches.proposal_lines import ProposalsView, items
from tui.pages.searches.searching import SearchScreen
from tui.panes.item import Item
from tui.panes.item_pane import ItemPane
from tui.work.session import Coming, Search

# Prices are charted where a pane has so many rows.
_CHARTED = 18


class ProposalsPane(ItemPane):
    """The table of proposals."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "look", "look at it"),
        Binding("x", "stop", "stop here"),
        Binding("a", "add", "one more to try"),
    ]

    def __init__(self, search: Search, page: SearchScreen) -> None:
        super().__init__()
        self.help_text = (
            f"{search.words} neediest: what the machine worst off in any gate set gets of its need; ! faults, * cautions; "
            "price: of pipe, hose and fittings, against today's; with what is left over of work, and with a collector where one is chosen. "
            f"{ESTIMATE} Enter shows what a proposal changes, Enter again takes it as one step "
            f"to undo. {IN_WORDS}"
            + (
                " The chart has their prices against the neediest: by their numbers, o as it is now, in reverse what the cursor is on."
                if search.pictured
                else ""
            )
        )
        self._search, self._page = search, page
        self._moved = False
        self.today: Standing | None = None
        self.step: Step | None = None
        self.working = True

    def update_found(self, today: Standing, step: Step | None, /, *, working: bool) -> None:
        """Show how far the search has come; a cursor that was moved stays with its proposal, else it is on the best."""
        kept = self.proposal if self._moved else None
        ended = self.working and not working
        self.today, self.step, self.working = today, step, working
        self.redraw()
        if ended:
            self.refresh_bindings()
        found = step.proposals if step else ()
        at = next((index for index, one in enumerate(found) if kept and one.design == kept.design), None)
        if stops := self.stops():
            self.go_to(stops[at or 0])
            self.redraw()

    def action_move(self, by: int) -> None:
        """Move the cursor."""
        self._moved = True
        super().action_move(by)

    @property
    def proposal(self) -> Proposal | None:
        """The proposal under the cursor."""
        if self.item is None or not isinstance(self.item.leads, int) or self.step is None:
            return None
        return self.step.proposals[self.item.leads]

    def list_items(self, width: int, height: int, /) -> list[Item]:
        """The page."""
        if self.today is None:
            return []
        caution = self._search.caution(self.session.document.design) if self._search.caution else ""
        charted = self._search.pictured and height >= _CHARTED
        chosen = self.item.leads if self.item and isinstance(self.item.leads, int) else None
        return items(ProposalsView(self.today, self.step, self.working, width, self.session.glyphs, caution, charted, chosen))

    def title(self) -> Line:
        """What the page is about."""
        return self.titled(self._search.title, "working " if self.working else "")

    def action_look(self) -> None:
        """Show the proposal under the cursor beside the design."""
        if self.proposal is not None:
            self._page.look_at(self.proposal)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002  # Textual's
        """Nothing is added to a search that has nothing to add to, and none is stopped that has ended."""
        return self.working if action == "stop" else action != "add" or self._search.adds is not None

    def action_add(self) -> None:
        """Put in one more thing to try."""
        if self._search.adds:
            self._search.adds(self.session)

    def action_stop(self) -> None:
        """Let the search end with what it has found."""
        self._page.stop()


class ProposalsScreen(SearchScreen):
    """The page. A change of the design begins the search anew."""

    AUTO_FOCUS = "ProposalsPane"

    pane = query_one(ProposalsPane)

    def __init__(self, search: Search) -> None:
        super().__init__()
        self.page_title = search.title
        self.pictured = search.pictured
        self._search = search

    def begin(self, design: Design) -> Coming:
        """The search it was given."""
        return self._search.begin(design)

    def compose_body(self) -> ComposeResult:
        """The one pane."""
        yield ProposalsPane(self._search, self)
