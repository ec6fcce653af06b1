"""What pages of a search share: it runs beside the session, is begun anew when the design changes, and what it offers can be taken."""

from __future__ import annotations

from collections.abc import Callable, Generator
from time import monotonic, sleep
from typing import Protocol

from textual import on
from textual.message import Message

from engine.design import Design
from engine.search.proposals import Proposal, Standing, Step, standing
from engine.values import dataclass
from tui import commands
from tui.commands.edit import Redo, Undo
from tui.commands.look import StepOut
from tui.pages.frame.frame import FrameScreen
from tui.pages.frame.messages import ResultsReady
from tui.pages.searches.proposal import ProposalScreen
from tui.terminal.beside import Beside, Dropped
from tui.work.session import Coming

# Steps of a search come faster than they can be read, s.
_SHOWN_EVERY = 0.15
# After each step keys go first: the search lets go of the interpreter for so long, s.
_YIELDS = 0.001


class FoundPane(Protocol):
    """The pane of a search."""

    working: bool
    """Whether the search goes on."""

    def update_found(self, today: Standing, step: Step | None, /, *, working: bool) -> None:
        """Show how far the search has come: today's standing, and its last step."""


class SearchScreen(FrameScreen):
    """A page whose `pane` shows the search that it `begin`s: `update_found(today, step, working=...)` gets every step of it."""

    page_commands = (Undo, Redo, StepOut, *commands.ALWAYS)

    pane: FoundPane
    pictured = False
    """Whether what is found is shown as plan and side view."""
    _today: Standing
    _last: Step | None = None

    @dataclass
    class Came(Message):
        """A step of the search of a `generation`; `last` is the end of it."""

        generation: int
        step: Step | None
        last: bool

    def __init__(self) -> None:
        super().__init__()
        self._generation = 0
        self._beside = Beside()

    def begin(self, design: Design) -> Coming:
        """The search from a design; a thread of its own asks for the steps."""
        raise NotImplementedError

    def on_mount(self) -> None:
        """Begin."""
        self.start()

    @on(ResultsReady)
    def start(self) -> None:
        """Search from the design as it now is, beside the session."""
        self._generation += 1
        self._today = standing(self.session.assessment)
        self.pane.update_found(self._today, None, working=True)
        self._beside.begin(self._searching(self._generation, self.document.design), self.fail)

    def _searching(self, generation: int, design: Design) -> Callable[[Dropped], None]:
        def search(dropped: Dropped) -> None:
            steps, step, shown = self.begin(design), None, 0.0
            for came in steps:
                step = came or step
                if dropped():
                    break
                if came and monotonic() - shown > _SHOWN_EVERY:
                    shown = monotonic()
                    self.post_message(self.Came(generation, step, False))
                sleep(_YIELDS)
            if isinstance(steps, Generator):
                steps.close()
            self.post_message(self.Came(generation, step, True))

        return search

    @on(Came)
    def _show(self, event: Came) -> None:
        """Show how far it has come, unless the design has changed meanwhile."""
        event.stop()
        if event.generation == self._generation:
            self._last = event.step
            self.pane.update_found(self._today, event.step, working=not event.last)

    def stop(self) -> None:
        """End the search; what it has found stays."""
        self._beside.drop()

    def on_unmount(self) -> None:
        """The page is left: nobody waits for what is still computed."""
        self._beside.drop()

    def look_at(self, proposal: Proposal) -> None:
        """Show a proposal beside the design; there it can be taken."""
        found = self._last.proposals if self._last else ()
        self.app.push_screen(ProposalScreen(self.document.design, self._today, proposal, found, self._take, pictured=self.pictured))

    def _take(self, proposal: Proposal) -> None:
        if self.session.attempt(lambda: self.document.apply(proposal.title, proposal.as_taken)):
            self.dismiss()
            self.session.flash(f"taken, u takes it back: {proposal.title}")

    @on(StepOut)
    def leave(self, command: StepOut) -> None:
        """Go back; a search that goes on is dropped."""
        command.stop()
        self.dismiss()
