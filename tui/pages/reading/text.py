"""A page of text in front of the session: help, health and safety."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.types import CSSPathType
from textual.widgets import Static

from tui.commands.look import StepOut
from tui.pages.frame.frame import FRAME_CSS, SMALL_ENOUGH, FrameScreen


class PageText(VerticalScroll, can_focus=True, inherit_bindings=False):
    """The scrolling text of a page."""

    key_entries: ClassVar[tuple[tuple[str, str], ...]] = (("j k", "scroll"), ("Space", "page on"), ("Esc", "back"))
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("j,down", "scroll_down", "scroll"),
        Binding("k,up", "scroll_up", "scroll", show=False),
        Binding("space,pagedown", "page_down", "page on"),
        Binding("b,pageup", "page_up", show=False),
        Binding("g,home", "scroll_home", show=False),
        Binding("G,end", "scroll_end", show=False),
    ]


class PageScreen(FrameScreen):
    """A page of text. Esc goes back."""

    CSS_PATH: ClassVar[CSSPathType | None] = [FRAME_CSS, Path(__file__).with_name("text.tcss")]
    smallest = SMALL_ENOUGH

    def compose_body(self) -> ComposeResult:
        """The text."""
        with PageText():
            yield Static(self.text(), markup=False)

    def text(self) -> Content:
        """What the page says."""
        raise NotImplementedError

    @on(StepOut)
    def leave(self, command: StepOut) -> None:
        """Go back to the screen before."""
        command.stop()
        self.dismiss()
