"""The upkeep page: what is due, one key to tick it off, the filter's trend, the log."""

from __future__ import annotations

from datetime import date
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.getters import query_one

from engine.catalog.upkeep import Duty
from engine.design import LogEntry, system
from engine.field.upkeep import Due, calendar, filter_trend, moved_by_change, noted, ticked
from engine.report.upkeep import due_text, moved_text, trend_text
from tui import commands
from tui.commands.edit import Redo, Undo
from tui.commands.files import Save
from tui.commands.look import StepOut
from tui.commands.pages import ReadingsPage, SafetyPage
from tui.draw.lines import Line, line, wrapped
from tui.pages.frame.frame import SMALL_ENOUGH, FrameScreen
from tui.pages.frame.messages import DesignChanged
from tui.panes.item import Item
from tui.panes.item_pane import ItemPane
from tui.work.asking import Prompt

_NAME = 12


class UpkeepPane(ItemPane):
    """Duties, the filter, the log."""

    help_text = (
        "What keeps the ducts right, and when it was last done by the log. x ticks off the one under the cursor: it writes an entry of today "
        "into the log; Enter does so too, with what was found. n notes anything else; a note that begins with the name of a duty ticks it off. "
        "The filter's trend and the log stand below. Lock off and let the fan stop before you open anything; "
        "wear a respirator when dust is disturbed."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("x", "tick", "done"),
        Binding("enter", "tell", "done, and what was found", show=False),
        Binding("n", "note", "note"),
    ]

    def title(self) -> Line:
        """How much is due."""
        due = sum(one.is_due(date.today()) for one in self._calendar())
        return self.titled("upkeep", f"{due} due " if due else "nothing due ")

    def _calendar(self) -> tuple[Due, ...]:
        return calendar(self.session.document.design)

    def list_items(self, width: int, _height: int, /) -> list[Item]:
        """Duties, then the filter's trend, then what a change did, then the log."""
        design, today = self.session.document.design, date.today()
        units = system(design)
        items = [self._duty(at, due, today, width) for at, due in enumerate(self._calendar())]
        told = [f"filter: {trend_text(filter_trend(design), units)}"]
        told += [f"since the ducts changed: {moved_text(moved, units)}" for moved in moved_by_change(design)]
        log = sorted(design.log, key=lambda entry: entry.date, reverse=True)
        read = [(text, "note") for text in told] + [(f"{entry.date.isoformat()} {entry.text}", "text") for entry in log]
        return items + [Item(tuple(wrapped(text, width, role)), len(items) + at) for at, (text, role) in enumerate(read)]

    def _duty(self, at: int, due: Due, today: date, width: int) -> Item:
        role = "caution" if due.is_due(today) else "ok"
        head = line(f"{due.duty.title:<{_NAME}}", (due_text(due, today), role))
        return Item((head,), at, partial(wrapped, f"{due.duty.text} ({due.duty.source}; {due.duty.provenance})", width, "dim"))

    @property
    def _duty_here(self) -> Duty | None:
        """The duty under the cursor; None, and said so, on what is only read."""
        every = self._calendar()
        if self.item is not None and isinstance(self.item.leads, int) and self.item.leads < len(every):
            return every[self.item.leads].duty
        self.session.flash("no duty here to tick off")
        return None

    def action_tick(self) -> None:
        """Tick off the duty under the cursor."""
        if duty := self._duty_here:
            self._tick(duty, "")

    def action_tell(self) -> None:
        """Ask what was found, and tick off the duty under the cursor."""
        if duty := self._duty_here:
            self.session.ask(Prompt(f"{duty.title} done:", "", lambda text: self._tick(duty, text)))

    def _tick(self, duty: Duty, found: str) -> None:
        document = self.session.document
        self.session.attempt(lambda: document.apply(f"{duty.title} done", ticked(document.design, duty, date.today(), found)))

    def action_note(self) -> None:
        """Ask for a note, and put it into the log."""
        document = self.session.document

        def put_in(text: str) -> None:
            if text.strip():
                entry = LogEntry(date=date.today(), text=text.strip())
                self.session.attempt(lambda: document.apply("a note", noted(document.design, entry)))

        self.session.ask(Prompt("note", "", put_in))


class UpkeepScreen(FrameScreen):
    """The page."""

    page_title = "upkeep"
    page_commands = (Undo, Redo, Save, ReadingsPage, SafetyPage, StepOut, *commands.ALWAYS)
    smallest = SMALL_ENOUGH
    AUTO_FOCUS = "UpkeepPane"

    pane = query_one(UpkeepPane)

    def compose_body(self) -> ComposeResult:
        """The one pane."""
        yield UpkeepPane()

    def design_changed_under(self) -> None:
        """What is ticked off shows at once."""
        self.pane.redraw()

    @on(DesignChanged)
    def follow(self) -> None:
        """Follow the design."""
        self.pane.redraw()

    @on(StepOut)
    def leave(self, command: StepOut) -> None:
        """Go back to the screen before."""
        command.stop()
        self.dismiss()
