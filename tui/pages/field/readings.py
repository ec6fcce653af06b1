"""The field page: the test sheet of the gate set shown, readings taken into the design, the design tuned to them, and what is wrong by them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Container
from textual.getters import query_one
from textual.message import Message
from textual.types import CSSPathType

from engine.design import Design
from engine.field.sheet import stop_at
from engine.values import dataclass
from tui import commands
from tui.commands.edit import FilterState, Redo, SwitchTuning, SwitchUnits, Undo
from tui.commands.files import Save
from tui.commands.look import NextGateSet, PreviousGateSet, StepOut
from tui.commands.pages import SafetyPage, UpkeepPage
from tui.pages.field.causes import CauseScreen, CausesPane, finding_causes
from tui.pages.field.test_sheet import TestSheet
from tui.pages.field.tuning import TuningScreen, tuning
from tui.pages.field.walk import Asked
from tui.pages.frame.frame import FRAME_CSS, SMALL_ENOUGH, FrameScreen
from tui.pages.frame.messages import DesignChanged, GateSetChanged, ResultsReady
from tui.terminal.beside import Beside

if TYPE_CHECKING:
    from engine.field.causes.diagnosis import Diagnosis
    from engine.field.tuning import Fit

# From so many columns on the causes stand beside the sheet, else below it.
WIDE_ENOUGH = 80


class ReadingsScreen(FrameScreen):
    """The page."""

    page_title = "test sheet"
    page_commands = (
        NextGateSet, FilterState, Undo, Redo, Save, SwitchUnits, SwitchTuning, PreviousGateSet, UpkeepPage, SafetyPage, StepOut,
        *commands.ALWAYS,
    )  # fmt: skip
    smallest = SMALL_ENOUGH
    AUTO_FOCUS = "TestSheet"
    CSS_PATH: ClassVar[CSSPathType | None] = [FRAME_CSS, Path(__file__).with_name("readings.tcss")]
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (WIDE_ENOUGH, "-wide")]  # noqa: RUF012  # as Textual declares it
    VERTICAL_BREAKPOINTS = [(0, "-short"), (20, "-tall")]  # noqa: RUF012  # as Textual declares it

    sheet = query_one(TestSheet)
    causes = query_one(CausesPane)

    @dataclass
    class Tuned(Message):
        """A design was tuned: what was found, or why nothing was."""

        design: Design
        found: Fit | str

    @dataclass
    class Came(Message):
        """A step of the search for what is wrong with a design; `last` is the end of it."""

        design: Design
        found: Diagnosis
        last: bool

    def __init__(self, *, causes: bool = False) -> None:
        super().__init__()
        self._with_causes = causes
        self._beside, self._weighing = Beside(), Beside()
        self._weighed: Design | None = None

    def compose_body(self) -> ComposeResult:
        """The stop at hand, and what is wrong."""
        with Container(id="field"):
            yield TestSheet()
            yield CausesPane()

    def on_mount(self) -> None:
        """Look for what is wrong at once, where that is wanted."""
        if self._with_causes:
            self.call_after_refresh(self.sheet.action_causes)

    @on(DesignChanged)
    @on(GateSetChanged)
    @on(ResultsReady)
    def follow(self) -> None:
        """Follow the design."""
        self.sheet.follow()
        if self.has_class("-causes") and self._weighed is not self.document.design:
            self._weigh()

    def show_again(self) -> None:
        """What came of a quick card goes into the blank."""
        super().show_again()
        self.sheet.fill(self.session.card_figures)
        self.session.card_figures = ()

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
            self.session.flash("tuned; u on the test sheet takes it back")
            self.app.push_screen(TuningScreen(found))

    # What is wrong

    @on(TestSheet.Causes)
    def show_causes(self) -> None:
        """Look for what is wrong, or no longer."""
        self.toggle_class("-causes")
        self.sheet.refresh_bindings()
        if self.has_class("-causes"):
            self._weigh()
        else:
            self._weighing.drop()
            self._weighed = None
            self.sheet.asks_for(None)
            self.sheet.focus()

    def _weigh(self) -> None:
        """Weigh every cause against the readings, beside the session."""
        design = self._weighed = self.document.design
        self.causes.update_found(None, working=True)
        self._weighing.begin(finding_causes(design, lambda found, last: self.post_message(self.Came(design, found, last))), self.fail)

    @on(Came)
    def tell(self, event: Came) -> None:
        """Show what is wrong so far, and ask for the reading that tells most, unless one is being typed."""
        event.stop()
        if event.design is not self._weighed or event.design is not self.document.design:
            return
        self.causes.update_found(event.found, working=not event.last)
        following = event.found.following
        if following is None:
            if event.last:
                self.session.flash("no place of the test sheet would tell more: Tab goes to the causes")
            self.sheet.asks_for(None)
            return
        from engine.report.causes import why

        task, design = following.task, event.design
        asked = Asked(task.gate_set, stop_at(design, task.gate_set, task.what, task.spot), why(design, event.found, following))
        self.sheet.asks_for(asked)

    @on(CausesPane.Looked)
    def give_room(self, event: CausesPane.Looked) -> None:
        """Give the list the room while it is looked at."""
        event.stop()
        self.set_class(event.at, "-list")

    @on(CausesPane.Look)
    def look(self, event: CausesPane.Look) -> None:
        """Tell what to look at for a cause."""
        event.stop()
        self.app.push_screen(CauseScreen(self.document.design, event.cause))

    def on_unmount(self) -> None:
        """Nobody waits for what is still computed."""
        self._beside.drop()
        self._weighing.drop()

    @on(StepOut)
    def leave(self, command: StepOut) -> None:
        """Look no longer for what is wrong, else go back to the screen before."""
        command.stop()
        if self.has_class("-causes"):
            self.show_causes()
        else:
            self.dismiss()
