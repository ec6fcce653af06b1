"""The field page: the test sheet of the gate set shown, readings taken into the design, the design tuned to them, and what is wrong by them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual import on
from textual.app import ComposeResult
from textual.getters import query_one
from textual.message import Message

from engine.design import Design
from tui import commands
from tui.commands.edit import FilterState, Redo, SwitchTuning, SwitchUnits, Undo
from tui.commands.files import Save
from tui.commands.look import NextGateSet, PreviousGateSet, StepOut
from tui.commands.pages import SafetyPage, UpkeepPage
from tui.pages.field.test_sheet import TestSheet
from tui.pages.field.tuning import TuningScreen, tuning
from tui.pages.frame.frame import SMALL_ENOUGH, FrameScreen
from tui.pages.frame.messages import DesignChanged, GateSetChanged, ResultsReady
from tui.terminal.beside import Beside

if TYPE_CHECKING:
    from engine.field.tuning import Fit


class ReadingsScreen(FrameScreen):
    """The page."""

    page_title = "field"
    page_commands = (
        NextGateSet, FilterState, Undo, Redo, Save, SwitchUnits, SwitchTuning, PreviousGateSet, UpkeepPage, SafetyPage, StepOut, *commands.ALWAYS,
    )  # fmt: skip
    smallest = SMALL_ENOUGH
    AUTO_FOCUS = "TestSheet"

    sheet = query_one(TestSheet)

    @dataclass
    class Tuned(Message):
        """A design was tuned: what was found, or why nothing was."""

        design: Design
        found: Fit | str

    def __init__(self) -> None:
        super().__init__()
        self._beside = Beside()

    def compose_body(self) -> ComposeResult:
        """The one stop."""
        yield TestSheet()

    @on(DesignChanged)
    @on(GateSetChanged)
    @on(ResultsReady)
    def follow(self) -> None:
        """Follow the design."""
        self.sheet.follow()

    @on(TestSheet.Tune)
    def tune(self) -> None:
        """Tune the design beside the session: it takes a second or two."""
        design = self.document.design
        self.session.flash("tuning to the baseline ...")
        self._beside.begin(tuning(design, lambda found: self.post_message(self.Tuned(design, found))), self.fail)

    @on(Tuned)
    def take(self, event: Tuned) -> None:
        """Go by what was found, and tell it."""
        event.stop()
        found = event.found
        if isinstance(found, str):
            self.session.flash(found, trouble=True)
        elif event.design is not self.document.design:
            self.session.flash("the design has changed meanwhile: t tunes it anew", trouble=True)
        elif self.session.attempt(lambda: self.document.apply("tuned to the baseline", found.design)):
            self.app.push_screen(TuningScreen(found))

    def on_unmount(self) -> None:
        """Nobody waits for what is still computed."""
        self._beside.drop()

    @on(StepOut)
    def leave(self, command: StepOut) -> None:
        """Go back to the screen before."""
        command.stop()
        self.dismiss()
