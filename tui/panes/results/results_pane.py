"""The results pane: tabs on what the air does. It shows what was assessed and solves nothing for a move of the cursor."""

from __future__ import annotations

from textual import events, on
from textual.binding import Binding
from textual.timer import Timer

from engine.checks.assess import Assessment
from tui import commands
from tui.draw.lines import Line, line
from tui.panes.item_pane import ItemPane
from tui.panes.results import curve, now, sets, where
from tui.panes.results.view import TABS, WIDE, WIDE_TABS, Item, View
from tui.work.known_bands import KnownBands

# When bands are computed, s: that of the flow shown once it is drawn, those of all sets after a while without a key, a part each time.
_DRAWN, _IDLE, _BETWEEN = 0.002, 0.2, 0.02


class Results(ItemPane):
    """now, sets, where and curve; where the terminal is wide also the plan."""

    pane_name = "results"
    help_text = (
        "What the air does: now (the selection and all findings), sets (every gate set), where (what takes the suction), "
        "curve (collector and ducts), plan (in a wide terminal; p shows it on a page of its own). Enter on a row leads to its place, or shows its gate set. "
        "The second figure of a flow is half the width of its band: doubts about elbows, joints, roughness, ports and "
        "collector, added as the root of their squares (GUM, JCGM 100); how large each is taken is judgement."
    )
    BINDINGS = [
        Binding("left,h", "tab(-1)", "tab", show=False),
        Binding("right,l", "tab(1)", "tab", show=False),
        Binding("left_square_bracket", "port(-1)", "port", show=False),
        Binding("right_square_bracket", "port(1)", "port", show=False),
    ]

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._tab = 0
        self._port = ""
        self._before: Assessment | None = None
        self._curves: tuple[Assessment, int, curve.Curves] | None = None
        self._bands = KnownBands()
        self._wants_band = False
        self._learning: Timer | None = None

    # What it shows

    def update_results(self, before: Assessment | None = None) -> None:
        """Take over the results, the selection and the gate set; what moved since `before` is marked."""
        self._before = before
        self.redraw()

    def update_selection(self) -> None:
        """Show another selection, from its first row."""
        self.go_to(0)
        self._port = ""
        self.redraw()

    def forget_changes(self) -> None:
        """Drop the marks of what the last edit moved."""
        if self._before is not None:
            self._before = None
            self.redraw()

    @property
    def _up_to_date(self) -> bool:
        """Whether the results at hand are of the design as it now is; when not, they are on their way."""
        return self.app.assessment is not None and self.app.assessment.design is self.app.document.design

    def list_items(self, width: int, height: int) -> list[Item]:
        """What the tab says."""
        document, assessment = self.app.document, self.app.assessment
        if not self._up_to_date:
            return self._items
        index = document.gate_set_index
        self._bands.follow(assessment)
        self._wants_band = False
        view = View(assessment, index, document.selection, width, height, self.app.glyphs, self._before, self._port, self._bands.known)
        match self._tab_name:
            case "now":
                self._wants_band = now.port_shown(view) is not None
                return now.items(view)
            case "sets":
                return sets.items(view)
            case "where":
                return where.items(view)
            case "plan":
                from tui.panes.results import plan  # with all that draws: not before it is wanted

                return plan.items(view)
        return curve.items(view, self._known_curves(view))

    def redraw(self) -> None:
        """Draw the pane anew; the bands it lacks follow, so that no key waits for them."""
        super().redraw()
        self._learn_after(_IDLE)

    def _learn_after(self, idle: float) -> None:
        """Compute what the tab shown lacks: one gate set as soon as it is drawn, all of them after `idle` seconds."""
        if self._learning is not None:
            self._learning.stop()
            self._learning = None
        if self._wants_band and not self._bands.knows(self.app.document.gate_set_index):
            self._learning = self.set_timer(_DRAWN, self._learn)
        elif self._tab_name == "sets" and not self._bands.complete:
            self._learning = self.set_timer(idle, self._learn)

    def _learn(self) -> None:
        if self._up_to_date:
            self._bands.follow(self.app.assessment)
            self._bands.learn(self.app.document.gate_set_index) if self._wants_band else self._bands.learn_more()
            super().redraw()
            self._learn_after(_BETWEEN)

    def _known_curves(self, view: View) -> curve.Curves:
        known = self._curves
        if known is None or known[0] is not view.assessment or known[1] != view.index:
            known = self._curves = (view.assessment, view.index, curve.curves(view.assessment, view.index))
        return known[2]

    @property
    def _tabs(self) -> tuple[str, ...]:
        """The tabs there are: with the plan where the terminal is wide."""
        return WIDE_TABS if self.app.size.width >= WIDE else TABS

    @property
    def _tab_name(self) -> str:
        """The tab shown; the first where the one that was shown is gone with the width."""
        return self._tabs[self._tab] if self._tab < len(self._tabs) else self._tabs[0]

    @property
    def _pane_title(self) -> str:
        """Its number alone where the tabs need the room."""
        return "3 results" if self.size.width >= 13 + sum(len(name) + 2 for name in self._tabs) else "3"

    def title(self) -> Line:
        """The names of the tabs."""
        shown = self._tab_name
        spans = [" ", (self._pane_title, "title-focus" if self.has_focus else "title"), " "]
        for at, name in enumerate(self._tabs):
            spans.append((f"[{name}]", "value") if name == shown else f" {name} ")
        return line(*spans, " ")

    # To copy

    def _view(self) -> View:
        document = self.app.document
        return View(self.app.assessment, document.gate_set_index, document.selection, 80, 24, self.app.glyphs, None, self._port, self._bands.known)

    def table(self) -> list[tuple[str, ...]]:
        """The tab as a table."""
        from tui.panes.results import copying

        if not self._up_to_date:
            return []
        view = self._view()
        match self._tab_name:
            case "now":
                return copying.now(view)
            case "sets":
                return copying.sets(view)
            case "where":
                return copying.where(view)
            case "plan":
                return []
        return copying.curve(view, self._known_curves(view))

    def row(self) -> tuple[str, ...]:
        """The row under the cursor; where no row has it, the figures."""
        from tui.panes.results import copying

        table, leads = self.table(), self.item.leads if self.item else None
        match self._tab_name:
            case "now" if table and leads is None:
                return copying.figures(self._view())
            case "now":
                rows = table[-(len(self._items) - 1) :]
                return rows[self._cursor - 1] if rows else ()
            case "sets" if table:
                return table[1 + (leads if isinstance(leads, int) else self.app.document.gate_set_index)]
            case "where" if table:
                return table[min(max(self._cursor, 1), len(table) - 1)]
        return table[-1] if table else ()

    # Keys

    @property
    def key_entries(self) -> list[tuple[str, str]]:
        """What the key line shows first."""
        entries = [(self.app.glyphs.sideways, "tab")]
        if self._tab_name == "where":
            entries.append(("[ ]", "port"))
        if self.stops():
            entries.append(("Enter", "show set" if self._tab_name == "sets" else "go to"))
        return entries

    def action_tab(self, by: int) -> None:
        """Show another tab."""
        self._tab = (self._tab + by) % len(self._tabs)
        self.go_to(0)
        self._items = []
        self.redraw()
        if self._tab_name == "sets":
            self.go_to(1 + self.app.document.gate_set_index)
            self.redraw()
        self.refresh_bindings()

    def action_port(self, by: int) -> None:
        """Show the way of another port."""
        document = self.app.document
        if self._tab_name != "where" or not self._up_to_date:
            return
        view = View(self.app.assessment, document.gate_set_index, document.selection, 0, 0, self.app.glyphs, port=self._port)
        known = where.ports(view)
        shown = where.port_shown(view)
        if shown is not None:
            self._port = known[(known.index(shown) + by) % len(known)]
            self.go_to(0)
            self.redraw()

    @on(commands.EditValue)
    def follow(self, event: commands.EditValue) -> None:
        """Go where the row leads."""
        event.stop()
        leads = self.item.leads if self.item else None
        if leads is None:
            self.action_move(1)
        elif isinstance(leads, int):
            self.app.document.show_gate_set(leads)
        else:
            self.app.document.select(leads)

    def on_click(self, event: events.Click) -> None:
        """Show the tab whose name was clicked."""
        if event.y == 0:
            at = 3 + len(self._pane_title)
            for number, name in enumerate(self._tabs):
                if at <= event.x < at + len(name) + 2:
                    self.action_tab(number - self._tab)
                at += len(name) + 2
