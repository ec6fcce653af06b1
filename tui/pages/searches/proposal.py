"""One proposal beside the design: what it changes, the figures before and after; Enter takes it."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from engine.checks.assess import Assessment, assess
from engine.design import Design
from engine.search.proposals import Proposal, Standing
from tui.commands.look import StepOut
from tui.draw.lines import Line
from tui.pages.frame.frame import FrameScreen
from tui.pages.searches.proposal_facts import fact_lines
from tui.pages.searches.proposal_lines import proposal_lines
from tui.panes.item import Item
from tui.panes.item_pane import ItemPane


class ProposalPane(ItemPane):
    """One proposal, read line by line."""

    help_text = "What a proposal changes, and the figures before and after. Enter takes it, as one step that u takes back; Esc leaves it."
    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "take", "take it")]

    def __init__(self, design: Design, today: Standing, proposal: Proposal, take: Callable[[], None]) -> None:
        super().__init__()
        self._shown = design, today, proposal
        self._solved: tuple[Assessment, Assessment] | None = None
        self._take = take

    def list_items(self, width: int, _height: int, /) -> list[Item]:
        """Its lines; each can be gone to, so that a long list scrolls."""
        design, _, proposal = self._shown
        if self._solved is None:
            before = assess(design, self.session.assessment)
            self._solved = before, assess(proposal.design, before)
        lines = proposal_lines(*self._shown, width, self.session.glyphs) + fact_lines(*self._solved, width, self.session.glyphs)
        return [Item((spans,), at) for at, spans in enumerate(lines)]

    def title(self) -> Line:
        """What the page is about."""
        return self.titled("before and after")

    def action_take(self) -> None:
        """Take it."""
        self._take()


class ProposalScreen(FrameScreen):
    """A proposal beside the design."""

    page_title = "a proposal"
    AUTO_FOCUS = "ProposalPane"

    def __init__(self, design: Design, today: Standing, proposal: Proposal, chosen: Callable[[Proposal], None]) -> None:
        super().__init__()
        self._shown = design, today, proposal
        self._chosen = chosen

    def compose_body(self) -> ComposeResult:
        """The one pane."""
        yield ProposalPane(*self._shown, self.take)

    def take(self) -> None:
        """Go back and take it, once."""
        if self.in_front:
            self.dismiss()
            self.app.call_later(self._chosen, self._shown[2])

    @on(StepOut)
    def leave(self, command: StepOut) -> None:
        """Go back to the list."""
        command.stop()
        self.dismiss()
