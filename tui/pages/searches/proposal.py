"""One proposal beside the design: what it changes, the figures before and after, the picture of a layout; Enter takes it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from engine.checks.assess import Assessment, assess
from engine.design import Design
from engine.search.proposals import Proposal, Standing
from tui.commands.look import StepOut
from tui.draw.lines import Line, fit
from tui.pages.frame.frame import FrameScreen
from tui.pages.searches.proposal_facts import fact_lines, set_lines
from tui.pages.searches.proposal_lines import proposal_lines
from tui.panes.item import Item
from tui.panes.item_pane import ItemPane
from tui.panes.plan.sheet import picture

# A picture stands beside the figures where each has so many columns; below them it has so many rows.
_BESIDE, _GAP, _ROWS = 58, 2, 30


class ProposalPane(ItemPane):
    """One proposal of those found, read line by line; where `pictured`, with its plan and side view."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "take", "take it"),
        Binding("right,l", "flip(1)", "the next", show=False),
        Binding("left,h", "flip(-1)", "the one before", show=False),
        Binding("pagedown", "page(1)", "a page down", show=False),
        Binding("pageup", "page(-1)", "a page up", show=False),
    ]

    def __init__(self, page: ProposalScreen, design: Design, today: Standing, *, pictured: bool) -> None:
        super().__init__()
        seen = " A layout is shown as plan and from the side." if pictured else ""
        self.help_text = (
            f"What a proposal changes, and the figures before and after.{seen} Left and right go to the one before and the next. "
            "Enter takes it, as one step that u takes back; Esc leaves it."
        )
        self._page, self._design, self._today, self._pictured = page, design, today, pictured
        self._solved: tuple[Proposal, Assessment, Assessment] | None = None

    def list_items(self, width: int, height: int, /) -> list[Item]:
        """Its lines; each can be gone to, so that a long list scrolls."""
        proposal = self._page.proposal
        if self._solved is None or self._solved[0] is not proposal:
            before = assess(self._design, self.session.assessment)
            self._solved = proposal, before, assess(proposal.design, before)
        _, before, after = self._solved
        beside = self._pictured and width >= 2 * _BESIDE + _GAP
        wide = (width - _GAP) // 2 if beside else width
        glyphs = self.session.glyphs
        sets = set_lines(before, after, wide, glyphs)
        lines = proposal_lines(self._design, self._today, proposal, wide, glyphs, sets) + fact_lines(before, after, wide, glyphs)
        if beside:
            drawn = picture(after, wide, height, glyphs)
            rows = max(len(lines), len(drawn))
            left, right = (some + [()] * (rows - len(some)) for some in (lines, drawn))
            lines = [(*fit(told, wide), (" " * _GAP, "text"), *seen) for told, seen in zip(left, right, strict=True)]
        elif self._pictured:
            lines = [*picture(after, width, max(height, _ROWS), glyphs), *lines]
        return [Item((spans,), at) for at, spans in enumerate(lines)]

    def title(self) -> Line:
        """What the page is about."""
        at, of = self._page.place
        return self.titled(f"before and after, {at + 1} of {of}" if of > 1 else "before and after")

    @property
    def key_entries(self) -> list[tuple[str, str]]:
        """What the key line shows first."""
        return [("Enter", "take it"), *([("h l", "flip")] if self._page.place[1] > 1 else [])]

    def action_take(self) -> None:
        """Take it."""
        self._page.take()

    def action_move(self, by: int) -> None:
        """Scroll: there is nothing to choose, so what moves is the first line shown."""
        last = max(len(self._items) - max(self.size.height - 2, 1), 0)
        self.go_to(min(max(self._cursor + by, 0), last))
        self._top = self._cursor
        self.redraw()

    def action_page(self, by: int) -> None:
        """Scroll by as many lines as are shown, but one."""
        self.action_move(by * max(self.size.height - 3, 1))

    def action_flip(self, by: int) -> None:
        """Show another of those found."""
        self._page.flip(by)
        self.go_to(0)
        self.redraw()


class ProposalScreen(FrameScreen):
    """A proposal beside the design, one of those found."""

    page_title = "a proposal"
    AUTO_FOCUS = "ProposalPane"

    def __init__(
        self, design: Design, today: Standing, proposal: Proposal, found: Sequence[Proposal], chosen: Callable[[Proposal], None],
        *, pictured: bool = False,
    ) -> None:  # fmt: skip
        super().__init__()
        self._design, self._today, self._pictured, self._chosen = design, today, pictured, chosen
        at = next((at for at, one in enumerate(found) if one is proposal), None)
        self._found, self._at = ([proposal], 0) if at is None else (list(found), at)

    @property
    def proposal(self) -> Proposal:
        """The one that is shown."""
        return self._found[self._at]

    @property
    def place(self) -> tuple[int, int]:
        """Which it is of how many."""
        return self._at, len(self._found)

    def flip(self, by: int) -> None:
        """Show another, round about."""
        self._at = (self._at + by) % len(self._found)

    def compose_body(self) -> ComposeResult:
        """The one pane."""
        yield ProposalPane(self, self._design, self._today, pictured=self._pictured)

    def take(self) -> None:
        """Go back and take it, once."""
        if self.in_front:
            self.dismiss()
            self.app.call_later(self._chosen, self.proposal)

    @on(StepOut)
    def leave(self, command: StepOut) -> None:
        """Go back to the list."""
        command.stop()
        self.dismiss()
