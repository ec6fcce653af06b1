"""The session's wiring: commands in, changes to the document, assessments out to the pages."""

from __future__ import annotations

import asyncio
import os
import signal
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from textual import events, on
from textual.message import Message

from engine.checks.assess import Assessment, assess
from tui.commands.base import Command
from tui.draw.theme import THEMES
from tui.keep import crash, first_days, unit_worths
from tui.keep.journal import Journal
from tui.keep.keeper import Keeper
from tui.pages import table
from tui.pages.frame import messages
from tui.pages.frame.frame import FrameScreen
from tui.terminal import between_keys, clipboard
from tui.terminal.driver import HungUp, KeyTaken, SteadyDriver
from tui.terminal.look import USUAL, Look
from tui.terminal.textual_inside import AppInside
from tui.work.asking import Choice, Prompt, Question
from tui.work.document import Change, Document, Refused
from tui.work.edits import changes
from tui.work.session import Page, Search, Status

if TYPE_CHECKING:
    from engine.checks.conditions import About
    from engine.field.cards import Figure

_WRITTEN = 0.002  # seconds in which the thread that writes to the terminal has its turn with what was painted
_SIGNALS = (signal.SIGHUP, signal.SIGINT, signal.SIGTERM)


def _never() -> bool:
    return False


class KerfdraftApp(AppInside, inherit_bindings=False):
    """The session. It holds the document and what was last computed of it; the pages show both."""

    TITLE = "Kerfdraft"
    ENABLE_COMMAND_PALETTE = False

    def __init__(
        self, document: Document | None, look: Look = USUAL,
        *, new: Path | None = None, greeting: str = "", cautions_due: Callable[[], bool] = _never,
    ) -> None:  # fmt: skip
        """`new`: the file that a new design is to go to, where there is no document; `greeting`: told once the workbench is there.

        `cautions_due`: asked with the first design, whether the user is to be shown its cautions.
        """
        super().__init__(driver_class=SteadyDriver, ansi_color=True)
        self.glyphs = look.glyphs
        self.finding: tuple[str, About] | None = None
        self.card_figures: tuple[Figure, ...] = ()
        self.last_words = ""
        self._keeper: Keeper | None = None
        self._assessment: Assessment | None = None
        self._is_told = False
        self.status = Status()
        self._new, self._greeting = new, greeting
        self._cautions_due = cautions_due
        self._marked, self._last_key_changed, self._touched = False, False, ""
        for theme in THEMES:
            self.register_theme(theme)
        self.look_like("sixteen" if self.no_color or self.console.color_system == "standard" else "dark")
        if document is not None:
            self._adopt(document)

    def on_mount(self) -> None:
        """Be ready to be told to stop, and show the workbench, or the designs when there is none to work on yet."""
        loop = asyncio.get_running_loop()
        for number in _SIGNALS:
            if signal.getsignal(number) is not signal.SIG_IGN:
                loop.add_signal_handler(number, self.hang_up, number)
        if callable(stop := signal.getsignal(signal.SIGTSTP)):
            loop.add_signal_handler(signal.SIGTSTP, self._keep_then, stop)
        for first in table.first_pages(self.opened, self._new):
            self.push_screen(first)
        self._show_cautions_once()

    # The document

    @property
    def opened(self) -> Document | None:
        """The design being worked on; None while there is none."""
        return self._keeper.document if self._keeper else None

    @property
    def document(self) -> Document:
        """The design being worked on. Raises LookupError while there is none."""
        if self._keeper is None:
            raise LookupError("no design is open")
        return self._keeper.document

    @property
    def assessment(self) -> Assessment:
        """What was last computed of it, at once where nothing was yet. Raises LookupError while there is none."""
        if self._assessment is None:
            self._assessment = assess(self.document.design)
        return self._assessment

    @property
    def up_to_date(self) -> bool:
        """Whether the assessment is of the design as it now is."""
        return self._assessment is not None and self._assessment.design is self.document.design

    @property
    def kept(self) -> bool:
        """Whether the unsaved work on the design is in a file that was read back."""
        return self._keeper is not None and self._keeper.kept

    def work_on(self, document: Document, said: str = "") -> None:
        """Leave the document at hand, which must be settled, and work on another one; what is `said` goes to the status row."""
        self._adopt(document, said)
        self.switch_screen(table.workbench())
        self._show_cautions_once()

    def _show_cautions_once(self) -> None:
        """Show a new user the cautions that hold for the first design."""
        if self.opened and self._cautions_due():
            self._cautions_due = _never
            self.status = Status(self._assessment, message=first_days.CAUTIONS_AGAIN)
            self.call_after_refresh(self.open, Page.SAFETY)

    def _adopt(self, document: Document, said: str = "") -> None:
        """Work on a document. It is assessed when the page that shows it is painted, or as soon as anything asks for that."""
        if self._keeper is not None:
            self._keeper.close()
        self._assessment = self.finding = None
        self._is_told = False
        self.status, self._greeting = Status(message=said or self._greeting), ""
        document.watch = self._changed
        self._keeper = Keeper(document, self.set_timer, lambda trouble: self.flash(trouble, trouble=True))

    def _changed(self, change: Change) -> None:
        assert self._keeper is not None  # it is its document that has changed
        if change == "design":
            self._last_key_changed, self._is_told = True, False
            if touched := self._keeper.document.touched:
                self._touched = touched
                self.flash("")
            self.call_after_refresh(self.post_message, messages.DesignChanged())  # what was typed is seen before anything is solved
            for screen in self._pages:
                screen.design_changed_under()
            self._keeper.changed()
        elif change == "selection":
            self._tell(messages.SelectionChanged)
        elif change == "gate set":
            self._tell(messages.GateSetChanged)
        else:
            self._keeper.saved()
            self._tell(messages.FileChanged)

    def on_design_changed(self) -> None:
        """Assess the design as it now is and tell every page, once for several changes."""
        if self._is_told:
            return
        before = self._assessment
        after = before if before and self.up_to_date else assess(self.document.design, before)
        self._assessment, self._is_told = after, True
        marked = before if self._last_key_changed else None  # changes are marked until the next key, which may have come already
        self.status = Status(after, changes.describe(self.document, marked, after), self.status.message, self.status.trouble)
        self._marked = marked is not None
        self._tell(lambda: messages.ResultsReady(after, marked))

    def painted(self) -> None:
        """Once results are painted, what would make keys wait is done before the next one comes."""
        if self.up_to_date:
            self.set_timer(_WRITTEN, self._use_pause)

    def _use_pause(self) -> None:
        """Write files, as a session may be ended from outside, and look for garbage."""
        unit_worths.keep()
        between_keys.collect_due()
        if self._keeper is not None:
            self._keeper.keep_due()

    @property
    def _pages(self) -> Iterator[FrameScreen]:
        """The pages, the first at the bottom; Textual's own, below, would have everything in front of it painted anew."""
        return (screen for screen in self.screen_stack if isinstance(screen, FrameScreen))

    def _tell(self, message: Callable[[], Message]) -> None:
        for screen in self._pages:
            screen.post_message(message())

    # Commands, and messages to the user

    async def on_event(self, event: events.Event) -> None:
        """Clear what the last key left in the status row, then let Textual see to the event."""
        is_key = isinstance(event, events.Key) and not event.is_forwarded
        if is_key:
            self._last_key_changed, self._touched = False, ""
        if is_key and (self.status.message or self.status.changed):
            self._show_status(Status(self._assessment))
        await super().on_event(event)
        if is_key and self._marked:  # told behind the key, which may bring marks of its own
            self._marked = False
            (self.screen.focused or self.screen).call_later(self._tell, messages.KeyPressed)

    @on(KeyTaken)
    def follow_key(self, event: KeyTaken) -> None:
        """Send what follows a key to where the key went."""
        event.stop()
        event.go_on(self.screen.focused or self.screen)

    @on(Command)
    def carry_out(self, command: Command) -> None:
        """Carry out a command that no widget and no page took."""
        command.carry_out(self)

    def attempt(self, action: Callable[[], object]) -> bool:
        """Do something that may be refused; whether it was done. The reason goes to the status row."""
        try:
            action()
        except Refused as reason:
            self.flash(str(reason), trouble=True)
            return False
        return True

    def flash(self, text: str, *, trouble: bool = False) -> None:
        """Show a message in the status row until the next key, behind what the key did to work that is done."""
        self._show_status(Status(self._assessment, self.status.changed, "; ".join(filter(None, (self._touched, text))), trouble))

    def copy(self, text: str, done: str) -> None:
        """Hand a text to the terminal's clipboard and say that it was `done`: no terminal says whether it took it."""
        if not text:
            self.flash("nothing to copy here", trouble=True)
            return
        try:
            self.send_sequence(clipboard.sequence(text, os.environ))
        except ValueError as error:
            self.flash(f"not copied: {error}", trouble=True)
        else:
            self.flash(done)

    def _show_status(self, status: Status) -> None:
        self.status = status
        if isinstance(self.screen, FrameScreen):
            self.screen.update_status()

    def ask(self, question: Question | Prompt) -> None:
        """Ask in the status row of the page in front."""
        if isinstance(self.screen, FrameScreen):
            self.screen.ask(question)

    # Pages

    def open(self, page: Page) -> None:
        """Open a page in front. Raises Refused where there is nothing for it to show."""
        if isinstance(self.screen, FrameScreen):
            self.push_screen(table.page(page, self, self.screen))

    def choose(self, title: str, choices: Sequence[Choice], chosen: Callable[[Any], object]) -> None:
        """Let a row be chosen on a page of its own; the value of that row is handed over."""
        self.push_screen(table.choice(title, choices, chosen))

    def search(self, search: Search) -> None:
        """Open the page of a search, which runs beside the session."""
        self.push_screen(table.search(search))

    def offer_left_behind(self) -> None:
        """Say what other sessions do, or left behind, on this design."""
        keeper = self._keeper
        if keeper and (left := keeper.next_left_behind()):
            self.push_screen(table.left_behind(left, keeper))
        elif keeper and (sessions := keeper.other_sessions()):
            self.flash(f"also open elsewhere: {'; '.join(sessions)}")

    # The end

    @property
    def journal(self) -> Journal | None:
        """The journal of the document."""
        return self._keeper.journal if self._keeper else None

    def leave(self) -> None:
        """End the session; what is unsaved was let go."""
        if self._keeper is not None:
            self._keeper.close()
        self.exit(return_code=0)

    @on(HungUp)
    def end_unasked(self) -> None:
        """The terminal is gone."""
        self.hang_up()

    def hang_up(self, number: int = signal.SIGHUP) -> None:
        """End the session because the terminal or the system says so; what is unsaved is kept."""
        self.last_words = crash.kept(self.journal)
        self.exit(return_code=128 + number)

    def _keep_then(self, stop: Callable[[int, None], object]) -> None:
        """Keep what is unsaved before the session is stopped: it may never go on."""
        if self._keeper is not None:
            self._keeper.keep()
        stop(signal.SIGTSTP, None)

    def crashed(self, error: Exception | None) -> None:
        """End the session on an error of its own: keep the work, write a report, say where both are."""
        if not self.last_words:  # what follows the first error is its consequence
            self.last_words = crash.report(self.journal, error)
