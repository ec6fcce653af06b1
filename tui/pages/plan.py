"""The plan page: the ducts in their room, over the whole screen."""

from __future__ import annotations

from textual import on
from textual.app import ComposeResult
from textual.getters import query_one

from tui import commands
from tui.messages import GateSetChanged, ResultsReady, SelectionChanged
from tui.pages.frame.frame import FRAME_CSS, FrameScreen
from tui.panes.plan.plan_pane import PlanPane


class PlanScreen(FrameScreen):
    """The page. What is selected here is what is selected in the tree."""

    BINDINGS = commands.bindings((
        commands.NextGateSet, commands.PreviousGateSet, commands.NextFinding, commands.PreviousFinding, commands.Undo, commands.Redo,
        commands.SwitchUnits, commands.FilterState, commands.Save, commands.Palette, commands.StepOut, *commands.ALWAYS,
    ))  # fmt: skip
    AUTO_FOCUS = "PlanPane"
    CSS_PATH = [FRAME_CSS, "plan.tcss"]

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

    def go_to_form(self) -> None:
        """Go back, to the form of what is selected."""
        from tui.pages.workbench import Workbench

        workbench = next((screen for screen in self.app.screen_stack if isinstance(screen, Workbench)), None)
        self.dismiss()
        if workbench is not None:
            workbench.call_after_refresh(workbench.post_message, commands.PiecePane())

    @on(commands.StepOut)
    def leave(self, command: commands.StepOut) -> None:
        """Go back to the workbench."""
        command.stop()
        self.dismiss()
