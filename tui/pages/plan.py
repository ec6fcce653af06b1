"""The plan page: the ducts in their room, over the whole screen."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.getters import query_one
from textual.types import CSSPathType

from tui import commands
from tui.commands.edit import FilterState, Redo, SwitchUnits, Undo
from tui.commands.files import Save
from tui.commands.look import NextFinding, NextGateSet, PiecePane, PreviousFinding, PreviousGateSet, StepOut
from tui.commands.pages import Palette
from tui.pages.frame.frame import FRAME_CSS, FrameScreen
from tui.pages.frame.messages import GateSetChanged, ResultsReady, SelectionChanged
from tui.panes.plan.plan_pane import PlanPane


class PlanScreen(FrameScreen):
    """The page. What is selected here is what is selected in the tree."""

    page_commands = (
        Undo, NextGateSet, NextFinding, Save, Redo, FilterState, SwitchUnits, Palette, PreviousGateSet, PreviousFinding, StepOut,
        *commands.ALWAYS,
    )  # fmt: skip
    AUTO_FOCUS = "PlanPane"
    CSS_PATH: ClassVar[CSSPathType | None] = [FRAME_CSS, "plan.tcss"]

    pane = query_one(PlanPane)

    def compose_body(self) -> ComposeResult:
        """The one pane."""
        yield PlanPane()

    @on(ResultsReady)
    @on(SelectionChanged)
    @on(GateSetChanged)
    def show(self) -> None:
        """Follow the design, the selection and the gate set."""
        self.pane.update_plan()

    @on(PiecePane)
    def go_to_form(self, command: PiecePane) -> None:
        """Go back, to the form of what is selected: the workbench behind knows the way."""
        command.stop()
        if self.in_front:
            workbench = self.app.screen_stack[-2]
            self.dismiss()
            workbench.call_after_refresh(workbench.post_message, PiecePane())

    @on(StepOut)
    def leave(self, command: StepOut) -> None:
        """Go back to the workbench."""
        command.stop()
        self.dismiss()
