"""The results pane: four tabs on what the air does. It shows what was assessed and solves nothing for a move of the cursor."""

from __future__ import annotations

from textual import events, on
from textual.binding import Binding

from engine.assess import Assessment
from tui import commands
from tui.widgets import results_curve, results_now, results_sets, results_where
from tui.widgets.lines import Line, fit, line, restyle
from tui.widgets.pane import Content, Pane, more_note, window
from tui.widgets.results import TABS, Item, View


class Results(Pane):
    """now, sets, where and curve."""

    pane_name = "results"
    help_text = (
        "What the air does: now (the selection and all findings), sets (every gate set), where (what takes the suction), "
        "curve (collector and ducts). Enter on a row leads to its place, or shows its gate set."
    )
    BINDINGS = [
        Binding("left,h", "tab(-1)", "tab", show=False),
        Binding("right,l", "tab(1)", "tab", show=False),
        Binding("left_square_bracket", "port(-1)", "port", show=False),
        Binding("right_square_bracket", "port(1)", "port", show=False),
        Binding("j,down", "move(1)", "down", show=False),
        Binding("k,up", "move(-1)", "up", show=False),
        Binding("g,home", "move(-999)", "first", show=False),
        Binding("G,end", "move(999)", "last", show=False),
        Binding("pagedown", "move(5)", "a page down", show=False),
        Binding("pageup", "move(-5)", "a page up", show=False),
    ]

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._tab = 0
        self._cursor = 0
        self._top = 0
        self._port = ""
        self._before: Assessment | None = None
        self._curves: tuple[Assessment, int, results_curve.Curves] | None = None
        self._items: list[Item] = []

    # What it shows

    def update_results(self, before: Assessment | None = None) -> None:
        """Take over the results, the selection and the gate set; what moved since `before` is marked."""
        self._before = before
        self.redraw()

    def update_selection(self) -> None:
        """Show another selection, from its first row."""
        self._cursor = self._top = 0
        self._port = ""
        self.redraw()

    def forget_changes(self) -> None:
        """Drop the marks of what the last edit moved."""
        if self._before is not None:
            self._before = None
            self.redraw()

    def content(self, width: int, height: int) -> Content:
        """The tab shown, the rows around its cursor."""
        self._items = self._tab_items(width, height)
        self._cursor = min(self._cursor, max(len(self._items) - 1, 0))
        rows, spans = self._rows(width)
        first, last = spans[self._cursor] if spans else (0, 0)
        at_start = self._cursor == min(self._stops(), default=0)
        self._top = window(self._top, 0 if at_start and last < height else first, last, height, len(rows))
        note = more_note(self._top, height, len(rows), first, self.app.glyphs)
        return Content(self._title(), rows[self._top : self._top + height], note)

    def _tab_items(self, width: int, height: int) -> list[Item]:
        document, assessment = self.app.document, self.app.assessment
        if assessment is None or assessment.design is not document.design:
            return self._items
        view = View(assessment, document.gate_set_index, document.selection, width, height, self.app.glyphs, self._before, self._port)
        match TABS[self._tab]:
            case "now":
                return results_now.items(view)
            case "sets":
                return results_sets.items(view)
            case "where":
                return results_where.items(view)
        return results_curve.items(view, self._known_curves(view))

    def _known_curves(self, view: View) -> results_curve.Curves:
        known = self._curves
        if known is None or known[0] is not view.assessment or known[1] != view.index:
            known = self._curves = (view.assessment, view.index, results_curve.curves(view.assessment, view.index))
        return known[2]

    def _rows(self, width: int) -> tuple[list[Line], list[tuple[int, int]]]:
        """Every line, and of each item its first and last one."""
        rows: list[Line] = []
        spans = []
        for at, item in enumerate(self._items):
            under_cursor = self.has_focus and at == self._cursor and item.leads is not None
            lines = [restyle(fit(spans_, width), "cursor") for spans_ in item.lines] if under_cursor else list(item.lines)
            first = len(rows)
            rows += lines + (list(item.more) if under_cursor else [])
            spans.append((first, max(len(rows) - 1, first)))
        return rows, spans

    @property
    def _pane_title(self) -> str:
        """Its number alone where the tabs need the room."""
        return "3 results" if self.size.width >= 38 else "3"

    def _title(self) -> Line:
        spans = [" ", (self._pane_title, "title-focus" if self.has_focus else "title"), " "]
        for at, name in enumerate(TABS):
            spans.append((f"[{name}]", "value") if at == self._tab else f" {name} ")
        return line(*spans, " ")

    # Keys

    @property
    def key_entries(self) -> list[tuple[str, str]]:
        """What the key line shows first."""
        left, right = ("<-", "->") if self.app.glyphs == "ascii" else ("←", "→")
        entries = [(f"{left} {right}", "tab")]
        if TABS[self._tab] == "where":
            entries.append(("[ ]", "port"))
        if self._stops():
            entries.append(("Enter", "show set" if TABS[self._tab] == "sets" else "go to"))
        return entries

    def action_tab(self, by: int) -> None:
        """Show another tab."""
        self._tab = (self._tab + by) % len(TABS)
        self._cursor = self._top = 0
        self._items = []
        self.redraw()
        if TABS[self._tab] == "sets":
            self._cursor = 1 + self.app.document.gate_set_index
            self.redraw()
        self.refresh_bindings()

    def _stops(self) -> list[int]:
        return [at for at, item in enumerate(self._items) if item.leads is not None]

    def action_move(self, by: int) -> None:
        """Move the cursor among the rows that lead somewhere; scroll where none does."""
        stops = self._stops()
        if not stops:
            return
        now = max((at for at, stop in enumerate(stops) if stop <= self._cursor), default=-1)
        self._cursor = stops[min(max(now + by, 0), len(stops) - 1)]
        self.redraw()

    def action_port(self, by: int) -> None:
        """Show the way of another port."""
        document, assessment = self.app.document, self.app.assessment
        if TABS[self._tab] != "where" or assessment is None or assessment.design is not document.design:
            return
        view = View(assessment, document.gate_set_index, document.selection, 0, 0, port=self._port)
        known = results_where.ports(view)
        shown = results_where.port_shown(view)
        if shown is not None:
            self._port = known[(known.index(shown) + by) % len(known)]
            self._cursor = self._top = 0
            self.redraw()

    @on(commands.EditValue)
    def follow(self, event: commands.EditValue) -> None:
        """Go where the row leads."""
        event.stop()
        leads = self._items[self._cursor].leads if self._items else None
        if leads is None:
            self.action_move(1)
        elif isinstance(leads, int):
            self.app.document.show_gate_set(leads)
        else:
            self.app.document.select(leads)

    def on_click(self, event: events.Click) -> None:
        """Show the tab whose name was clicked, or use the row."""
        if event.y == 0:
            at = 3 + len(self._pane_title)
            for number, name in enumerate(TABS):
                if at <= event.x < at + len(name) + 2:
                    self.action_tab(number - self._tab)
                at += len(name) + 2
            return
        _, spans = self._rows(self.size.width - 2)
        row = self._top + event.y - 1
        found = next((at for at, (first, last) in enumerate(spans) if first <= row <= last and self._items[at].leads is not None), None)
        if found is not None:
            self._cursor = found
            self.redraw()
