"""The session's wiring: commands in, changes to the document, assessments out to the screens."""

from __future__ import annotations

import asyncio
import os
import signal
from collections.abc import Callable
from pathlib import Path

from textual import events, on
from textual.app import App
from textual.message import Message
from textual.screen import Screen

from engine.checks.assess import Assessment, assess
from tui import messages
from tui.commands import (
    Command,
    actions,
    file_actions,  # its commands are carried out once it is here
)
from tui.commands import search_actions as search_actions  # its commands too
from tui.draw.theme import THEMES
from tui.keep import crash, journal
from tui.pages.frame.frame import FrameScreen
from tui.pages.frame.question_line import Prompt, Question
from tui.pages.frame.status_line import Status
from tui.terminal import clipboard
from tui.terminal.driver import KeyTaken, SteadyDriver
from tui.terminal.run import Look
from tui.work import changes
from tui.work.document import Change, Document, Refused

KEEP_AFTER = 1.5
_TRY_AGAIN_AFTER = 15.0
_SIGNALS = (signal.SIGHUP, signal.SIGINT, signal.SIGTERM)


class KerfdraftApp(App[None], inherit_bindings=False):
    """The session. It holds the document and what was last computed of it; the screens show both."""

    TITLE = "Kerfdraft"
    ENABLE_COMMAND_PALETTE = False

    def __init__(self, document: Document | None, look: Look = Look(), *, new: Path | None = None, greeting: str = "") -> None:
        """`new`: the file that a new design is to go to, where there is no document; `greeting`: told once the workbench is there."""
        super().__init__(driver_class=SteadyDriver, ansi_color=True)
        self.glyphs = look.glyphs
        self.document: Document | None = None
        self.assessment: Assessment | None = None
        self.status = Status()
        self._new, self._greeting = new, greeting
        self.finding: int | None = None
        self.last_words = ""
        self.journal: journal.Journal | None = None
        self._others = journal.Survey()
        self._keep_timer = None
        self._marked = False
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = "sixteen" if self.no_color or self.console.color_system == "standard" else "dark"
        if document is not None:
            self._adopt(document)

    def on_mount(self) -> None:
        """Be ready to be told to stop, and show the workbench, or the designs when there is none to work on yet."""
        loop = asyncio.get_running_loop()
        for number in _SIGNALS:
            if signal.getsignal(number) is not signal.SIG_IGN:
                loop.add_signal_handler(number, self.hang_up, number)
        self.push_screen(self._first_screen())
        if self.document is None and self._new is not None:
            file_actions.begin_new(self, self._new)

    def _first_screen(self) -> Screen:
        if self.document is not None:
            from tui.pages.workbench import Workbench

            return Workbench()
        from tui.pages.files import FilesScreen

        return FilesScreen(lambda path: self.attempt(lambda: file_actions.open_path(self, path)), first=True)

    # The document

    def work_on(self, document: Document) -> None:
        """Leave the document at hand, which must be settled, and work on another one."""
        from tui.pages.workbench import Workbench

        self._adopt(document)
        self.switch_screen(Workbench())

    def _adopt(self, document: Document) -> None:
        assessment = assess(document.design)
        if self.document is not None:
            self.document.watch = lambda change: None
            self.journal.close()
        self.document = document
        self.finding = None
        self.assessment = assessment
        self.status, self._greeting = Status(assessment, message=self._greeting), ""
        document.watch = self._changed
        self.journal = journal.Journal(document)
        self._keep()  # seen by others before it looks for others: of two that start together one sees the other
        self._others = self.journal.others()

    def _changed(self, change: Change) -> None:
        if change == "design":
            self.post_message(messages.DesignChanged())
            for screen in self.screen_stack:
                if isinstance(screen, FrameScreen):
                    screen.design_changed_under()
            if self._keep_timer is None:
                self._keep_timer = self.set_timer(KEEP_AFTER, self._keep)
        elif change == "selection":
            self._tell(messages.SelectionChanged)
        elif change == "gate set":
            self._tell(messages.GateSetChanged)
        else:
            self._keep()
            self.journal.settle()
            self._tell(messages.FileChanged)

    def on_design_changed(self) -> None:
        """Assess the design as it now is and tell every screen."""
        self._tell(messages.DesignChanged)
        before, self.assessment = self.assessment, assess(self.document.design, self.assessment)
        changed = changes.describe(self.document, before, self.assessment)
        self.status = Status(self.assessment, changed, self.status.message, self.status.trouble)
        self._marked = True
        self._tell(lambda: messages.ResultsReady(self.assessment, before))

    def _tell(self, message: Callable[[], Message]) -> None:
        for screen in self.screen_stack:
            if isinstance(screen, FrameScreen):  # Textual's own, below, would have everything in front of it painted anew
                screen.post_message(message())

    # Commands and messages to the user

    async def on_event(self, event: events.Event) -> None:
        """Clear what the last key left in the status row, then let Textual see to the event."""
        if isinstance(event, events.Key) and not event.is_forwarded:
            if self._marked:
                self._marked = False
                self._tell(messages.KeyPressed)
            if self.status.message or self.status.changed:
                self._show_status(Status(self.assessment))
        await super().on_event(event)

    @on(KeyTaken)
    def follow_key(self, event: KeyTaken) -> None:
        """Send what follows a key on its next round."""
        event.stop()
        screen = self.screen
        if not event.rounds or not (screen.focused or screen).post_message(KeyTaken(event.rounds - 1, event.done)):
            event.done.set()

    @on(Command)
    def carry_out(self, command: Command) -> None:
        """Carry out a command that no widget and no screen took."""
        actions.carry_out(self, command)

    def attempt(self, action: Callable[[], object]) -> bool:
        """Do something that may be refused; whether it was done. The reason goes to the status row."""
        try:
            action()
        except Refused as reason:
            self.flash(str(reason), trouble=True)
            return False
        return True

    def flash(self, text: str, *, trouble: bool = False) -> None:
        """Show a message in the status row until the next key."""
        self._show_status(Status(self.assessment, self.status.changed, text, trouble))

    def copy(self, text: str, done: str) -> None:
        """Hand a text to the terminal's clipboard and say that it was `done`: no terminal says whether it took it."""
        if not text:
            self.flash("nothing to copy here", trouble=True)
            return
        try:
            self._driver.write(clipboard.sequence(text, os.environ))
        except ValueError as error:
            self.flash(f"not copied: {error}", trouble=True)
        else:
            self._driver.flush()
            self.flash(done)

    def _show_status(self, status: Status) -> None:
        self.status = status
        if isinstance(self.screen, FrameScreen):
            self.screen.update_status()

    def ask(self, question: Question | Prompt) -> None:
        """Ask in the status row of the screen in front."""
        if isinstance(self.screen, FrameScreen):
            self.screen.ask(question)

    # Unsaved work, and the end

    def offer_recovered(self) -> None:
        """Say, once the workbench is in front, what other sessions do or left behind on this design."""
        from tui.pages.unsaved import UnsavedScreen
        from tui.pages.workbench import Workbench

        if not isinstance(self.screen, Workbench):
            return
        others, self._others = self._others, journal.Survey()
        if others.left:
            first, *rest = others.left
            self._others = journal.Survey(tuple(rest), others.sessions)
            self.push_screen(UnsavedScreen(self.document, first, lambda answer: self._answer_offer(first, answer)))
        elif others.sessions:
            self.flash(f"also open elsewhere: {'; '.join(others.sessions)}")

    def _answer_offer(self, left: journal.LeftBehind, answer: str) -> None:
        try:
            if answer == "take":
                self.journal.take(left)
                self.attempt(lambda: self.document.apply("unsaved work taken over", left.design))
                self._keep()
            elif answer == "delete":
                journal.delete(left)
        except OSError as error:
            self.flash(f"the unsaved work could not be had: {error.strerror}", trouble=True)

    def _keep(self) -> None:
        """Bring the journal up to date."""
        if self._keep_timer is not None:
            self._keep_timer.stop()
            self._keep_timer = None
        try:
            self.journal.keep()
        except OSError as error:
            if self.document.unsaved:
                self.flash(f"unsaved work cannot be kept: {error.strerror}; save it", trouble=True)
                self._keep_timer = self.set_timer(_TRY_AGAIN_AFTER, self._keep)

    def leave(self) -> None:
        """End the session; what is unsaved was let go."""
        if self.journal is not None:
            self.journal.close()
        self.exit(return_code=0)

    def hang_up(self, number: int = signal.SIGHUP) -> None:
        """End the session because the terminal or the system says so; what is unsaved is kept."""
        self.last_words = crash.kept(self.journal)
        self.exit(return_code=128 + number)

    def _fatal_error(self) -> None:
        """End the session on an error of its own: keep the work, write a report, say where both are."""
        if not self.last_words:  # what follows the first error is its consequence
            self.last_words = crash.report(self.journal, self._exception)
        self._close_messages_no_wait()
