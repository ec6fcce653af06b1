"""The page of a placement study: where the collector could stand, each spot with a layout drafted from there."""

from __future__ import annotations

from collections.abc import Callable

from textual import on
from textual.app import ComposeResult
from textual.getters import query_one
from textual.message import Message

from engine.design import Design, system
from engine.search.placement import SPACING, NoStudy, Spot, from_spot, placements
from engine.search.proposals import Proposal
from engine.values import dataclass
from tui.commands.search import SearchPlacement
from tui.pages.searches.placement_pane import PlacementPane
from tui.pages.searches.searching import SearchScreen
from tui.terminal.beside import Beside, Dropped
from tui.terminal.elsewhere import elsewhere
from tui.work import searches
from tui.work.document import Refused
from tui.work.session import Coming

# How much wider than usual spots may lie where the floor is large, and how near they may come, m.
_WIDER = (1, 2, 4)
_NEAREST = 0.2


def usual_spacing(design: Design) -> float:
    """How far apart spots lie at first, m. Raises Refused where there is nothing to study."""
    spacings = [SPACING[system(design)] * times for times in _WIDER]
    reasons = [_why_not(design, spacing) for spacing in spacings]
    if None not in reasons:
        raise Refused(reasons[0])
    return spacings[reasons.index(None)]


def _why_not(design: Design, spacing: float) -> str | None:
    """Why a study cannot be made."""
    try:
        placements(design, spacing=spacing)
    except NoStudy as reason:
        return str(reason)
    return None


class PlacementScreen(SearchScreen):
    """The page. A change of the design, and another spacing, begin the study anew."""

    page_title = SearchPlacement.title
    AUTO_FOCUS = "PlacementPane"

    pane = query_one(PlacementPane)
    pictured = True

    @dataclass
    class DraftedAnew(Message):
        """The layout from a spot, of the design of a `generation`."""

        generation: int
        proposal: Proposal

    def __init__(self, spacing: float) -> None:
        """`spacing` of the spots, m."""
        super().__init__()
        self.spacing = spacing
        self._draft = Beside()

    def begin(self, design: Design) -> Coming:
        """The study; a step without one where the design, changed meanwhile, leaves nothing to study."""
        return elsewhere(searches.spots, design, self.spacing)

    def respace(self, times: float) -> None:
        """Begin anew with spots so many times as far apart; where that cannot be, say why."""
        spacing = self.spacing * times
        if why := "nearer is nearer than anybody measures" if spacing < _NEAREST else _why_not(self.document.design, spacing):
            self.session.flash(why, trouble=True)
            return
        self.spacing = spacing
        self.start()

    def compose_body(self) -> ComposeResult:
        """The one pane."""
        yield PlacementPane(self)

    def look_from(self, spot: Spot, today: Spot | None, known: Proposal | None) -> None:
        """Show the layout from a spot beside the design; one that is not `known` is drafted again first, beside the session."""
        if known is not None:
            self.look_at(known)
            return
        self.session.flash("drafting from there ...")
        drafting = self._drafting(self._generation, self.document.design, spot, today)
        self._draft.begin(drafting, self.fail)

    def _drafting(self, generation: int, design: Design, spot: Spot, today: Spot | None) -> Callable[[Dropped], None]:
        def draft(dropped: Dropped) -> None:
            proposal = from_spot(design, spot, today)
            if not dropped():
                self.post_message(self.DraftedAnew(generation, proposal))

        return draft

    def on_unmount(self) -> None:
        """The page is left: nobody waits for the draft either."""
        self._draft.drop()

    @on(DraftedAnew)
    def _show_drafted(self, event: DraftedAnew) -> None:
        """Show it, unless something else is looked at meanwhile."""
        event.stop()
        if event.generation == self._generation and self.in_front:
            self.session.flash("")
            self.look_at(event.proposal)
