"""A search beside the session: proposals as they are found; Enter shows one beside the design, Enter again takes it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from time import monotonic

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.getters import query_one
from textual.message import Message
from textual.worker import Worker, get_current_worker

from engine.assess import Assessment, assess
from engine.design import Design
from engine.proposals import Proposal, Standing, Step, standing
from tui import commands
from tui.messages import ResultsReady
from tui.screens.frame import FrameScreen
from tui.widgets.item_pane import ItemPane
from tui.widgets.lines import Line, line
from tui.widgets.proposal_facts import fact_lines
from tui.widgets.proposal_lines import ProposalsView, items, proposal_lines
from tui.widgets.results import Item

# Steps of a search come faster than they can be read, s.
_SHOWN_EVERY = 0.15


@dataclass(frozen=True, slots=True)
class Search:
    """What to look for: the page's title, what it says of itself in help, and the search itself."""

    title: str
    words: str
    begin: Callable[[Design], Iterator[Step]]


class ProposalsPane(ItemPane):
    """The table of proposals."""

    BINDINGS = [Binding("enter", "look", "look at it"), Binding("x", "stop", "stop here")]

    def __init__(self, search: Search) -> None:
        super().__init__()
        self.help_text = (
            f"{search.words} neediest: what the machine worst off in any gate set gets of its need; ! faults, * cautions; "
            "price: of pipe, hose and fittings, against today's. Enter shows what a proposal changes, Enter again takes it as one step to undo."
        )
        self._title = search.title
        self._moved = False
        self.today: Standing | None = None
        self.step: Step | None = None
        self.working = True

    def update_found(self, today: Standing, step: Step | None, *, working: bool) -> None:
        """Show how far the search has come; a cursor that was moved stays with its proposal, else it is on the best."""
        kept = self.proposal if self._moved else None
        self.today, self.step, self.working = today, step, working
        self.redraw()
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

    def list_items(self, width: int, height: int) -> list[Item]:
        """The page."""
        return items(ProposalsView(self.today, self.step, self.working, width, self.app.glyphs)) if self.today else []

    def title(self) -> Line:
        """What the page is about."""
        return line(" ", (self._title, "title-focus" if self.has_focus else "title"), " working " if self.working else " ")

    def action_look(self) -> None:
        """Show the proposal under the cursor beside the design."""
        if self.proposal is not None:
            self.screen.look_at(self.proposal)

    def action_stop(self) -> None:
        """Let the search end with what it has found."""
        self.screen.stop()


class ProposalsScreen(FrameScreen):
    """The page. A change of the design begins the search anew."""

    BINDINGS = commands.bindings((commands.StepOut, commands.Undo, commands.Redo, *commands.ALWAYS))
    AUTO_FOCUS = "ProposalsPane"

    pane = query_one(ProposalsPane)

    @dataclass
    class Came(Message):
        """A step of the search of a `generation`; `last` is the end of it."""

        generation: int
        step: Step | None
        last: bool

    def __init__(self, search: Search) -> None:
        super().__init__()
        self.page_title = search.title
        self._search = search
        self._generation = 0
        self._worker: Worker | None = None
        self._today: Standing | None = None

    def compose_body(self) -> ComposeResult:
        """The one pane."""
        yield ProposalsPane(self._search)

    def on_mount(self) -> None:
        """Begin."""
        self._start()

    @on(ResultsReady)
    def _start(self) -> None:
        """Search from the design as it now is, beside the session."""
        self._generation += 1
        self._today = standing(self.app.assessment)
        self.pane.update_found(self._today, None, working=True)
        self._worker = self.run_worker(self._searching(self._generation, self.document.design), thread=True, exclusive=True)

    def _searching(self, generation: int, design: Design) -> Callable[[], None]:
        def search() -> None:
            worker, steps, step, shown = get_current_worker(), self._search.begin(design), None, 0.0
            for step in steps:
                if worker.is_cancelled:
                    break
                if monotonic() - shown > _SHOWN_EVERY:
                    shown = monotonic()
                    self.post_message(self.Came(generation, step, False))
            steps.close()
            self.post_message(self.Came(generation, step, True))

        return search

    @on(Came)
    def _show(self, event: Came) -> None:
        """Show how far it has come, unless the design has changed meanwhile."""
        event.stop()
        if event.generation == self._generation:
            self.pane.update_found(self._today, event.step, working=not event.last)

    def stop(self) -> None:
        """End the search; what it has found stays."""
        if self._worker is not None and self.pane.working:
            self._worker.cancel()

    def look_at(self, proposal: Proposal) -> None:
        """Show a proposal beside the design; there it can be taken."""
        self.app.push_screen(ProposalScreen(self.document.design, self._today, proposal, self._take))

    def _take(self, proposal: Proposal) -> None:
        if self.app.attempt(lambda: self.document.apply(proposal.title, proposal.design)):
            self.dismiss()
            self.app.flash(f"taken: {proposal.title}; u takes it back")

    @on(commands.StepOut)
    def leave(self, command: commands.StepOut) -> None:
        """Go back; a search that goes on is dropped."""
        command.stop()
        self.dismiss()


class ProposalPane(ItemPane):
    """One proposal, read line by line."""

    help_text = "What a proposal changes, and the figures before and after. Enter takes it, as one step that u takes back; Esc leaves it."
    BINDINGS = [Binding("enter", "take", "take it")]

    def __init__(self, design: Design, today: Standing, proposal: Proposal) -> None:
        super().__init__()
        self._shown = design, today, proposal
        self._before: Assessment | None = None
        self._after: Assessment | None = None

    def list_items(self, width: int, height: int) -> list[Item]:
        """Its lines; each can be gone to, so that a long list scrolls."""
        design, _, proposal = self._shown
        if self._after is None:
            self._before = assess(design, self.app.assessment)
            self._after = assess(proposal.design, self._before)
        lines = proposal_lines(*self._shown, width, self.app.glyphs) + fact_lines(self._before, self._after, width, self.app.glyphs)
        return [Item((spans,), at) for at, spans in enumerate(lines)]

    def title(self) -> Line:
        """What the page is about."""
        return line(" ", ("before and after", "title-focus" if self.has_focus else "title"), " ")

    def action_take(self) -> None:
        """Take it."""
        self.screen.take()


class ProposalScreen(FrameScreen):
    """A proposal beside the design."""

    page_title = "a proposal"
    BINDINGS = commands.bindings(commands.PAGE)
    AUTO_FOCUS = "ProposalPane"

    def __init__(self, design: Design, today: Standing, proposal: Proposal, chosen: Callable[[Proposal], None]) -> None:
        super().__init__()
        self._shown = design, today, proposal
        self._chosen = chosen

    def compose_body(self) -> ComposeResult:
        """The one pane."""
        yield ProposalPane(*self._shown)

    def take(self) -> None:
        """Go back and take it, once."""
        if self.in_front:
            self.dismiss()
            self.app.call_later(self._chosen, self._shown[2])

    @on(commands.StepOut)
    def leave(self, command: commands.StepOut) -> None:
        """Go back to the list."""
        command.stop()
        self.dismiss()
