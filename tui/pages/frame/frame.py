"""The frame around every screen: title row, body, status row (or a question in its place) and key line."""

from __future__ import annotations

from pathlib import Path
from typing import Any, ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.await_complete import AwaitComplete
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.reactive import Reactive
from textual.scrollbar import ScrollBar, ScrollBarRender
from textual.types import CSSPathType
from textual.widget import Widget
from textual.widgets import Static

from tui import commands
from tui.commands.base import Command, bindings
from tui.commands.edit import EditValue, Redo, Undo
from tui.commands.files import Quit, Save
from tui.commands.key_names import key_name
from tui.commands.look import StepOut
from tui.commands.pages import CardsPage, Help, ReadingsPage, SafetyPage, UpkeepPage
from tui.pages.frame.key_line import KeyLine, entries_of
from tui.pages.frame.messages import FileChanged, GateSetChanged, ResultsReady, SelectionChanged
from tui.pages.frame.question_line import QuestionLine
from tui.pages.frame.status_line import StatusLine
from tui.pages.frame.title_line import TitleLine
from tui.terminal.textual_inside import ScreenInside
from tui.work.asking import Prompt, Question
from tui.work.document import Document
from tui.work.session import Session, session_of

FRAME_CSS = Path(__file__).with_name("frame.tcss")  # absolute, as every style of pages that others build on: these may be in another folder
SMALLEST = (60, 18)
_EVERYWHERE = (CardsPage,)
_WHEN_SMALL = (StepOut, ReadingsPage, UpkeepPage, *_EVERYWHERE, Save, Quit, Help, SafetyPage, Undo, Redo)
SMALL_ENOUGH = (40, 15)
"""Columns and rows that the pages for the ladder want."""


class WholeCells(ScrollBarRender):
    """Scroll bars of whole cells: not every glyph set has the parts of one."""

    VERTICAL_BARS: ClassVar[list[str]] = [" "]
    HORIZONTAL_BARS: ClassVar[list[str]] = [" "]


ScrollBar.renderer = WholeCells


class FrameScreen(ScreenInside, inherit_bindings=False):
    """A screen of the session. Its subclasses say what the body holds and which commands they take."""

    CSS_PATH: ClassVar[CSSPathType | None] = FRAME_CSS
    page_commands: ClassVar[tuple[type[Command], ...]] = commands.PAGE
    """The commands that the page takes; their keys are bound, those without one are in the palette."""
    smallest: ClassVar[tuple[int, int]] = SMALLEST
    """Columns and rows that the page wants at least."""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab", "app.focus_next", show=False),
        Binding("shift+tab", "app.focus_previous", show=False),
        *bindings(_EVERYWHERE),
    ]
    page_title = ""

    @property
    def session(self) -> Session:
        """The session that the page is in."""
        return session_of(self)

    # Moving the focus must not paint the screen anew: what shows the focus repaints itself.
    focused: Reactive[Widget | None] = Reactive(None, repaint=False)

    def __init_subclass__(cls, **options: Any) -> None:
        """Bind the keys of the page's commands, beside those that it binds for itself."""
        cls.BINDINGS = [*bindings(cls.page_commands), *vars(cls).get("BINDINGS", ())]
        super().__init_subclass__(**options)

    def __init__(self) -> None:
        super().__init__()
        self._focus_before: Widget | None = None

    def compose(self) -> ComposeResult:
        """The three rows around the body, and what takes their place."""
        yield TitleLine()
        with Vertical(id="body"):
            yield from self.compose_body()
        yield Static(id="too-small", markup=False)
        yield StatusLine()
        yield QuestionLine()
        yield KeyLine()

    def compose_body(self) -> ComposeResult:
        """The widgets between the title and the status row."""
        yield from ()

    # Commands

    async def action_command(self, name: str) -> None:
        """Send a command to what has the focus, or say why it cannot be used."""
        command = commands.BY_NAME[name]
        if not self.takes(command):
            return
        if why := command.why_not(self.session.opened):
            self.session.flash(why, trouble=True)
            return
        (self.focused or self).post_message(command())

    def on_key(self, event: events.Key) -> None:
        """A key that nothing took: where it is one of the main page, say so."""
        if event.key in self.active_bindings:  # it is taken behind this
            return
        pressed = {event.key, event.character}
        command = next((one for one in commands.WORKBENCH if not pressed.isdisjoint(one.keys) and one not in (EditValue, StepOut)), None)
        if command is not None and not self.asking and self.session.opened is not None:
            key = key_name(event.key) if len(event.key) > 1 and not event.character else event.character
            self.session.flash(f"{key}, {command.title}: not on this page; Esc leads back to where it is")

    def takes(self, command: type[Command]) -> bool:
        """Whether a command makes sense on what can be seen now."""
        return not self.too_small or command in _WHEN_SMALL

    @property
    def asking(self) -> bool:
        """Whether a question stands in the status row."""
        return self.query_one(QuestionLine).asked is not None

    def ask(self, question: Question | Prompt) -> None:
        """Ask in the status row; the focus comes back afterwards."""
        asking = self.query_one(QuestionLine)
        if self.focused is None or asking not in self.focused.ancestors:  # an answer may lead to another question
            self._focus_before = self.focused
        self.add_class("-asks")
        asking.ask(question)

    @on(QuestionLine.Closed)
    def _give_focus_back(self, event: QuestionLine.Closed) -> None:
        event.stop()
        asking = self.query_one(QuestionLine)
        if asking.asked is not None:
            return
        self.remove_class("-asks")
        if self.focused is None or asking in self.focused.ancestors:
            self._refocus()

    def _refocus(self) -> None:
        before = self._focus_before
        self.set_focus(before if before is not None and before.is_attached else None)
        if self.focused is None:
            self.focus_next()

    def design_changed_under(self) -> None:
        """The design has just changed; what must not wait for the results is done here."""

    # What the rows show

    @property
    def document(self) -> Document:
        """The design being worked on. Raises LookupError while there is none."""
        return self.session.document

    def on_mount(self) -> None:
        """Draw the rows, so that the first paint has all there is; from then on the key line follows the focus."""
        self.update_rows()
        self.call_after_refresh(self.bindings_updated_signal.subscribe, self, lambda _: self.update_keys())

    @on(SelectionChanged)
    @on(GateSetChanged)
    @on(FileChanged)
    @on(ResultsReady)
    def update_rows(self) -> None:
        """Draw the three rows anew; only what differs is sent."""
        self.query_one(TitleLine).update_title(self.session.opened, self.page_title, self.session.glyphs)
        self.update_status()
        self.update_keys()

    def update_status(self) -> None:
        """Draw the status row anew."""
        self.query_one(StatusLine).update_status(self.session.status, self.session.glyphs)

    def update_keys(self) -> None:
        """Draw the key line anew."""
        if self.is_current:
            self.query_one(KeyLine).update_keys(*entries_of(self, self.takes, self.session.opened))

    def dismiss(self, result: None = None) -> AwaitComplete:
        """Go back, once: a second Esc under way must not take away what is behind."""
        return super().dismiss(result) if self.in_front else AwaitComplete()

    def on_screen_resume(self) -> None:
        """What happened while another screen was in front shows now."""
        self.call_after_refresh(self.show_again)

    def show_again(self) -> None:
        """This page is in front again."""
        self.update_rows()

    # Terminals that are too small

    @property
    def too_small(self) -> bool:
        """Whether the terminal is too small to work in."""
        return self.app.size.width < self.smallest[0] or self.app.size.height < self.smallest[1]

    def on_resize(self, event: events.Resize) -> None:
        """Give way to a page that says so when the terminal is too small, and come back from it."""
        if self.too_small and not self.has_class("-too-small"):
            self._focus_before = self.focused or self._focus_before
            self.add_class("-too-small")
        elif not self.too_small and self.has_class("-too-small"):
            self.remove_class("-too-small")
            self.call_after_refresh(self._refocus)
        if self.too_small:
            self.query_one("#too-small", Static).update(self._told_small((event.size.width, event.size.height)))
        if self.in_front:
            self.refresh()  # of another size, or taken anew after a stop: nothing on the terminal can be trusted
        self.call_after_refresh(self.update_rows)

    def _told_small(self, size: tuple[int, int]) -> str:
        """What stands in the page's place: how large it wants the terminal, and the keys that work."""
        wanted = self.smallest
        told = f"This page needs {wanted[0]} x {wanted[1]}; the terminal is {size[0]} x {size[1]}. Nothing is lost. Make it larger, or:"
        bound = [command for command in _WHEN_SMALL if command in (*self.page_commands, *_EVERYWHERE)]
        return "\n".join([told, *(f"{key_name(min(command.keys, key=len)):<7}{command.title}" for command in bound)])
