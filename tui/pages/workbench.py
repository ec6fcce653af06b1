"""The main screen: ducts, the form of what is selected, and results."""

from __future__ import annotations

from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.getters import query_one
from textual.types import CSSPathType

from engine.units.words import counted
from tui import commands
from tui.commands.edit import EditValue, LargerSize, SmallerSize
from tui.commands.look import CopyRow, CopyTable, DuctsPane, Enlarge, PiecePane, ResultsPane, StepOut
from tui.pages.frame.frame import FRAME_CSS, FrameScreen
from tui.pages.frame.messages import DesignChanged, GateSetChanged, KeyPressed, ResultsReady, SelectionChanged
from tui.panes.form.piece_form import PieceForm
from tui.panes.pane import WIDE, Pane
from tui.panes.results.results_pane import Results
from tui.panes.tree.duct_tree import DuctTree
from tui.terminal.clipboard import tabbed
from tui.work.edits import editing

_ONLY = "-only-"


class Workbench(FrameScreen):
    """Three panes on one design. It hands on what the document and the app say, and moves the focus."""

    CSS_PATH: ClassVar[CSSPathType | None] = [FRAME_CSS, "workbench.tcss"]
    page_commands = commands.WORKBENCH
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t", "tab(1)", "next tab of the results", show=False),
        Binding("T", "tab(-1)", "tab of the results before", show=False),
    ]
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (WIDE, "-wide")]  # noqa: RUF012  # as Textual declares it
    VERTICAL_BREAKPOINTS = [(0, "-short"), (22, "-usual"), (30, "-tall")]  # noqa: RUF012  # as Textual declares it
    AUTO_FOCUS = "DuctTree"

    ducts = query_one(DuctTree)
    form = query_one(PieceForm)
    results = query_one(Results)

    def __init__(self) -> None:
        super().__init__()
        self._awaits_results = False

    def compose_body(self) -> ComposeResult:
        """The three panes."""
        yield DuctTree()
        with Container(id="right"):
            yield PieceForm()
            yield Results()

    def on_mount(self) -> None:
        """Show what there is."""
        self._show_all()

    def painted(self) -> None:
        """The results follow the first screen."""
        if self._awaits_results:
            self._awaits_results = False
            self.app.post_message(DesignChanged())

    def _show_all(self) -> None:
        self.ducts.update_tree()
        self.form.update_form()
        self.results.update_results()

    def show_again(self) -> None:
        """Draw the rows anew, then say what other sessions do, or left behind."""
        super().show_again()
        self._awaits_results = not self.session.up_to_date
        if self.in_front:
            self.session.offer_left_behind()

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
        if self.session.up_to_date:
            self.ducts.update_cursor()
            self.form.update_form()
            self.results.update_selection()

    @on(GateSetChanged)
    def show_gate_set(self) -> None:
        """Show another gate set."""
        if self.session.up_to_date:
            self._show_all()

    @on(KeyPressed)
    def forget_changes(self) -> None:
        """The marks of the last edit have been seen."""
        self.results.forget_changes()

    # Commands

    @on(EditValue)
    def edit_value(self, event: EditValue) -> None:
        """Edit the first value of what is selected."""
        event.stop()
        self._go_to(self.form)
        self.form.begin()

    def on_paste(self, event: events.Paste) -> None:
        """Take lines of flow and pressure as the collector's curve; other text has no place here."""
        event.stop()
        self.session.attempt(lambda: self.session.flash(editing.paste_curve(self.document, event.text)))

    @on(LargerSize)
    @on(SmallerSize)
    def step_size(self, event: LargerSize | SmallerSize) -> None:
        """Look at another size in the form."""
        event.stop()
        self.form.action_step(1 if isinstance(event, LargerSize) else -1, None if self._enlarged else self.focused)
        if self.form.considering:
            self._go_to(self.form)

    @on(CopyRow)
    def copy_row(self, event: CopyRow) -> None:
        """Copy the row under the cursor of the pane in use."""
        event.stop()
        row = self._in_use.row()
        self.session.copy(tabbed([row]) if row else "", f"copied: {' '.join(row)}")

    @on(CopyTable)
    def copy_table(self, event: CopyTable) -> None:
        """Copy all rows of the pane in use."""
        event.stop()
        table = self._in_use.table()
        self.session.copy(tabbed(table), f"copied: {counted(len(table), 'row')}")

    @on(DuctsPane)
    def go_to_ducts(self, event: DuctsPane) -> None:
        """Go to the ducts."""
        event.stop()
        self._go_to(self.ducts)

    @on(PiecePane)
    def go_to_piece(self, event: PiecePane) -> None:
        """Go to the form."""
        event.stop()
        self._go_to(self.form)

    @on(ResultsPane)
    def go_to_results(self, event: ResultsPane) -> None:
        """Go to the results."""
        event.stop()
        self._go_to(self.results)

    @on(Enlarge)
    def enlarge(self, event: Enlarge) -> None:
        """Let the pane in use fill the screen, or show all three again."""
        event.stop()
        self._enlarge(None if self._enlarged else self._in_use)

    @on(StepOut)
    def step_out(self, event: StepOut) -> None:
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
