"""Which gates may be open together: every set of machines, solved beside the session and shown on a page of its own."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.getters import query_one
from textual.message import Message

from engine.checks.look import Look
from engine.search.together.companions import Together, together
from engine.values import dataclass
from tui import commands
from tui.commands.edit import Redo, Undo
from tui.commands.look import StepOut
from tui.draw.lines import Line, cut, wrapped
from tui.pages.frame.frame import FrameScreen
from tui.pages.frame.messages import ResultsReady
from tui.pages.searches.together_lines import TogetherView, idle_in, items, names_of_sets, offered, remark_on
from tui.panes.item import Item
from tui.panes.item_pane import ItemPane
from tui.terminal.beside import Beside, Dropped
from tui.work.asking import Choice, Question
from tui.work.edits import editing

_MOST_LETTERS_ASKED = 40


class TogetherPane(ItemPane):
    """The table of machines and the largest sets that pass."""

    help_text = (
        "Every set of machines at work: the gates on their ways wide open, all others shut. Each machine alone, then beside each "
        "other one: ok good, * with cautions, - with faults; open too: whose gates let it pass. Enter adds a set as a gate set."
    )
    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "add", "add as gate set")]

    def __init__(self, offer: Callable[[Together, int], None]) -> None:
        """`offer` offers the sets that a row of what was found stands for."""
        super().__init__()
        self._offer = offer
        self.found: Together | None = None
        self.working = True

    def update_found(self, found: Together | None, *, working: bool) -> None:
        """Show what was found; `working` says that it is being computed anew."""
        first = self.found is None
        self.found, self.working = found, working
        self.redraw()
        if first and found is not None and self.stops():
            self.go_to(self.stops()[0])
            self.redraw()

    def list_items(self, width: int, _height: int, /) -> list[Item]:
        """The page, or that it is on its way."""
        if self.found is not None:
            return items(TogetherView(self.found, self.session.document.design, width, self.session.glyphs))
        text = "working: every set of machines is being solved; Esc leaves it" if self.working else "no run leads to a machine"
        return [Item(tuple(wrapped(text, width, "dim")))]

    def title(self) -> Line:
        """What the page is about."""
        return self.titled("machines at work together", "working " if self.working else "")

    def action_add(self) -> None:
        """Offer the set of the row, or the sets with the machine of the row."""
        if self.found is not None and self.item is not None and isinstance(self.item.leads, int):
            self._offer(self.found, self.item.leads)


class TogetherScreen(FrameScreen):
    """The page. What it shows is of the design as it was when the solving began; a change of the design begins anew."""

    page_title = "which gates may be open together"
    page_commands = (Undo, Redo, StepOut, *commands.ALWAYS)
    AUTO_FOCUS = "TogetherPane"

    pane = query_one(TogetherPane)

    @dataclass
    class Solved(Message):
        """Every set was solved; `generation` says for which design."""

        generation: int
        found: Together

    def __init__(self) -> None:
        super().__init__()
        self._generation = 0
        self._beside = Beside()

    def compose_body(self) -> ComposeResult:
        """The one pane."""
        yield TogetherPane(self.offer)

    def on_mount(self) -> None:
        """Begin."""
        self._solve()

    @on(ResultsReady)
    def _solve(self) -> None:
        """Solve every set of the design as it now is, beside the session."""
        self._generation += 1
        look = self.session.assessment.look
        connected = bool(look.tree.leaf_of)
        self.pane.update_found(self.pane.found if connected else None, working=connected)
        if connected:
            self._beside.begin(self._solving(self._generation, look), self.fail)

    def _solving(self, generation: int, look: Look) -> Callable[[Dropped], None]:
        def solve(dropped: Dropped) -> None:
            found = together(look)
            if not dropped():
                self.post_message(self.Solved(generation, found))

        return solve

    def on_unmount(self) -> None:
        """The page is left: nobody waits for what is still solved."""
        self._beside.drop()

    @on(Solved)
    def _show(self, event: Solved) -> None:
        """Show what was found, unless the design has changed meanwhile."""
        event.stop()
        if event.generation == self._generation:
            self.pane.update_found(event.found, working=False)

    @on(StepOut)
    def leave(self, command: StepOut) -> None:
        """Go back to the workbench; what is still being solved is dropped."""
        command.stop()
        self.dismiss()

    # Adding gate sets

    def offer(self, found: Together, leads: int) -> None:
        """Offer the sets that a row of the page stands for."""
        machines = found.companions
        if leads >= len(machines):
            self._ask(found.largest[leads - len(machines)].machines)
            return
        design = self.document.design
        helped = {row.machines: idle_in(found, leads, row.machines) for row in offered(found, leads)}
        choices = [
            Choice(" + ".join(row.machines), row.machines, f"nobody at {' or '.join(idle)}" if idle else remark_on(design, row))
            for row, idle in zip(offered(found, leads), helped.values(), strict=True)
        ]  # fmt: skip
        title = f"add a gate set with {machines[leads].machine}"
        self.session.choose(title, choices, lambda chosen: self.session.attempt(lambda: self._add(chosen, helped[chosen])))

    def _ask(self, machines: tuple[str, ...]) -> None:
        """Ask before a gate set is added; one there is needs no asking."""
        if self._known(machines) is not None:
            self._add(machines)
            return
        name = cut(" + ".join(machines), _MOST_LETTERS_ASKED, self.session.glyphs)
        self.ask(Question(f"add gate set {name}?", lambda key: self.session.attempt(lambda: self._add(machines)) if key == "y" else None))

    def _add(self, machines: tuple[str, ...], idle: tuple[str, ...] = ()) -> None:
        """Add a gate set, or show the one there is. Of machines in it that are to stand `idle`, with their gates open, it is said what to do."""
        known = self._known(machines)
        if known is None:
            added = f"added gate set {editing.add_gate_set(self.document, machines)}"
            says = f"f and ! accept what {' and '.join(idle)} lacks: nobody works there" if idle else "u takes it back"
            self.session.flash(f"{added}; {says}")
            return
        self.document.show_gate_set([gate_set.name for gate_set in self.document.gate_sets].index(known))
        self.session.flash(f"that is gate set {known}: shown now")

    def _known(self, machines: tuple[str, ...]) -> str | None:
        """Name of the gate set with just these machines at work."""
        return names_of_sets(self.document.design).get(frozenset(machines))
