"""The main screen: ducts, the form of what is selected, and results."""

from __future__ import annotations

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Container
from textual.getters import query_one

from engine.units.words import counted
from tui import commands
from tui.messages import GateSetChanged, KeyPressed, ResultsReady, SelectionChanged
from tui.pages.frame.frame import FRAME_CSS, FrameScreen
from tui.panes.form.piece_form import PieceForm
from tui.panes.pane import WIDE, Pane
from tui.panes.results.results_pane import Results
from tui.panes.tree.duct_tree import DuctTree
from tui.terminal.clipboard import tabbed
from tui.work import editing

_ONLY = "-only-"


class Workbench(FrameScreen):
    """Three panes on one design. It hands on what the document and the app say, and moves the focus."""

    CSS_PATH = [FRAME_CSS, "workbench.tcss"]
    BINDINGS = [
        *commands.bindings(commands.WORKBENCH),
        Binding("t", "tab(1)", "next tab of the results", show=False),
        Binding("T", "tab(-1)", "tab of the results before", show=False),
    ]
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (WIDE, "-wide")]
    VERTICAL_BREAKPOINTS = [(0, "-short"), (22, "-usual"), (30, "-tall")]
    AUTO_FOCUS = "DuctTree"

    ducts = query_one(DuctTree)
    form = query_one(PieceForm)
    results = query_one(Results)

    def compose_body(self) -> ComposeResult:
        """The three panes."""
        with Container(id="panes"):
            yield DuctTree(id="ducts")
            with Container(id="right"):
                yield PieceForm(id="piece")
                yield Results(id="results")

    def on_mount(self) -> None:
        """Show what there is."""
        self._show_all()

    def _show_all(self) -> None:
        self.ducts.update_tree()
        self.form.update_form()
        self.results.update_results()

    @property
    def up_to_date(self) -> bool:
        """Whether the results are of the design as it now is; when not, they are on their way."""
        return self.app.assessment is not None and self.app.assessment.design is self.document.design

    # What happened

    def design_changed_under(self) -> None:
        """The design has just changed, its results are not there yet, and another key may be."""
        if self.is_mounted:
            self.ducts.keep_in_sight()

    @on(ResultsReady)
    def show_results(self, event: ResultsReady) -> None:
        """Draw the panes anew, what moved marked."""
        self.ducts.update_tree()
        self.form.update_form()
        self.results.update_results(event.before)

    @on(SelectionChanged)
    def show_selection(self) -> None:
        """Follow the selection; nothing is solved for it."""
        if self.up_to_date:
            self.ducts.update_cursor()
            self.form.update_form()
            self.results.update_selection()

    @on(GateSetChanged)
    def show_gate_set(self) -> None:
        """Show another gate set."""
        if self.up_to_date:
            self._show_all()

    @on(KeyPressed)
    def forget_changes(self) -> None:
        """The marks of the last edit have been seen."""
        self.results.forget_changes()

    # Commands

    @on(commands.EditValue)
    def edit_value(self, event: commands.EditValue) -> None:
        """Edit the first value of what is selected."""
        event.stop()
        self._go_to(self.form)
        self.form.begin()

    def on_paste(self, event: events.Paste) -> None:
        """Take lines of flow and pressure as the collector's curve; other text has no place here."""
        event.stop()
        self.app.attempt(lambda: self.app.flash(editing.paste_curve(self.document, event.text)))

    @on(commands.LargerSize)
    @on(commands.SmallerSize)
    def step_size(self, event: commands.LargerSize | commands.SmallerSize) -> None:
        """Look at another size in the form."""
        event.stop()
        self.form.action_step(1 if isinstance(event, commands.LargerSize) else -1, None if self._enlarged else self.focused)
        if self.form.considering:
            self._go_to(self.form)

    @on(commands.CopyRow)
    def copy_row(self, event: commands.CopyRow) -> None:
        """Copy the row under the cursor of the pane in use."""
        event.stop()
        row = self._in_use.row()
        self.app.copy(tabbed([row]) if row else "", f"copied: {' '.join(row)}")

    @on(commands.CopyTable)
    def copy_table(self, event: commands.CopyTable) -> None:
        """Copy all rows of the pane in use."""
        event.stop()
        table = self._in_use.table()
        self.app.copy(tabbed(table), f"copied: {counted(len(table), 'row')}")

    @on(commands.DuctsPane)
    def go_to_ducts(self, event: commands.DuctsPane) -> None:
        """Go to the ducts."""
        event.stop()
        self._go_to(self.ducts)

    @on(commands.PiecePane)
    def go_to_piece(self, event: commands.PiecePane) -> None:
        """Go to the form."""
        event.stop()
        self._go_to(self.form)

    @on(commands.ResultsPane)
    def go_to_results(self, event: commands.ResultsPane) -> None:
        """Go to the results."""
        event.stop()
        self._go_to(self.results)

    @on(commands.Enlarge)
    def enlarge(self, event: commands.Enlarge) -> None:
        """Let the pane in use fill the screen, or show all three again."""
        event.stop()
        self._enlarge(None if self._enlarged else self._in_use)

    @on(commands.StepOut)
    def step_out(self, event: commands.StepOut) -> None:
        """From an enlarged pane to all three, from another pane to the ducts."""
        if self._enlarged:
            event.stop()
            self._enlarge(None)
        elif self.focused is not self.ducts:
            event.stop()
            self._go_to(self.ducts)

    def action_tab(self, by: int) -> None:
        """Show another tab of the results, wherever the focus is."""
        self.results.action_tab(by)

    @property
    def _in_use(self) -> Pane:
        return self.focused if isinstance(self.focused, Pane) else self.ducts

    @property
    def _enlarged(self) -> bool:
        return any(name.startswith(_ONLY) for name in self.classes)

    def _enlarge(self, pane: Pane | None) -> None:
        for known in (self.ducts, self.form, self.results):
            self.set_class(known is pane, _ONLY + known.pane_name)

    def _go_to(self, pane: Pane) -> None:
        """Move the focus; where a pane is enlarged, to that one enlarged."""
        if self._enlarged:
            self._enlarge(pane)
            self.call_after_refresh(pane.focus)
        pane.focus()
