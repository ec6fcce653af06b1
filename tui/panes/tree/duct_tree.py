"""The ducts pane: the tree of the design, whose cursor is the selection."""

from __future__ import annotations

from typing import ClassVar

from textual import events, on
from textual.binding import Binding, BindingType

from engine.design.places import DESIGN, EndOf, JointOf, PieceAt, Place, whole
from tui.commands.look import Filter, StepOut
from tui.draw.lines import Line, restyle
from tui.panes.pane import ROW_KEYS, Content, Pane, more_note, window
from tui.panes.tree.node import Key, Node
from tui.panes.tree.nodes import tree
from tui.panes.tree.rows import Row, cells, column_heads, column_widths, count, holds, is_folded, row_line, rows, shows, way_to
from tui.work.asking import Prompt


class DuctTree(Pane):
    """Collector, runs, pieces and ports as they hang together, then machines, stock, gate sets and the rest."""

    pane_name = "ducts"
    help_text = (
        "The ducts from the collector outward: bore, speed and a mark in the gate set shown "
        "(ok, ! fault, * caution, a accepted, - shut). Below them: machines, stock, gate sets, site, walls and zones, and what is conveyed."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        *ROW_KEYS,
        Binding("h,left", "fold", "fold", show=False),
        Binding("l,right", "unfold", "unfold", show=False),
        Binding("space", "turn", "fold or unfold", show=False),
        Binding("v", "pieces", "runs only", show=False),
        Binding("pagedown", "page(1)", "a page down", show=False),
        Binding("pageup", "page(-1)", "a page up", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._tree: tuple[Node, ...] = ()
        self._rows: list[Row] = []
        self._labels: list[str] = []
        self._flipped: set[Key] = set()
        self._wanted = ""
        self._pieces = True
        self._cursor = 0
        self._top = 0
        self._widths = (3, 8)

    # What it shows

    def update_tree(self) -> None:
        """Take over the design, its results and the selection."""
        document = self.session.document
        self._tree = tree(document.design, self.session.assessment if self.session.up_to_date else None, document.gate_set_index)
        self._widths = column_widths(self._tree)
        self.update_cursor()

    def update_cursor(self) -> None:
        """Put the cursor on what is selected, unfolding what hides it."""
        place = self.session.document.selection
        for node in way_to(self._tree, place)[:-1]:
            if is_folded(node, self._flipped):
                self._flipped ^= {node.key}
        self._pieces = self._pieces or isinstance(place, PieceAt | JointOf | EndOf)
        self._list_rows()
        if self._wanted and way_to(self._tree, place) and not shows(self._rows, place):
            self._wanted = ""
            self._list_rows()
        self._cursor = self._row_of(place)
        self.redraw()

    def keep_in_sight(self) -> None:
        """The design has just changed: no key may act on something selected that the filter hides.

        Where something went, the row that took its place is selected; where
        something came or has become what does not match, the filter is taken off.
        """
        document = self.session.document
        if not self._wanted:
            return
        nodes = tree(document.design, None, document.gate_set_index)
        shown = rows(nodes, self._flipped, self._wanted, pieces=self._pieces)
        if shows(shown, document.selection):
            return
        if shown and count(nodes) < count(self._tree):
            document.select(shown[min(self._cursor, len(shown) - 1)].node.place)
        else:
            self._wanted = ""

    def _row_of(self, place: Place) -> int:
        """Index of the row of a place, or of what it belongs to: a joint that has become straight has none of its own."""
        while (found := next((at for at, row in enumerate(self._rows) if row.node.place == place), None)) is None and place != DESIGN:
            place = place.holder
        return min(self._cursor, max(len(self._rows) - 1, 0)) if found is None else found

    def content(self, width: int, height: int) -> Content:
        """The rows around the cursor."""
        self._top = window(self._top, self._cursor, self._cursor, height, len(self._rows))
        shown = range(self._top, min(self._top + height, len(self._rows)))
        title = self.titled("1 ducts", f"/{self._wanted}/ " if self._wanted else "")
        note = more_note(self._top, height, len(self._rows), self._cursor, self.session.glyphs)
        return Content(title, [self._line(at, width) for at in shown], note, column_heads(self._widths, self.session.document.system))

    def _line(self, at: int, width: int) -> Line:
        spans = row_line(self._rows[at], width, self._widths, self.session.glyphs, self._labels)
        if at != self._cursor:
            return spans
        return restyle(spans, "cursor" if self.has_focus else "chosen")

    def row(self) -> tuple[str, ...]:
        """What the row under the cursor says, numbers with their units."""
        return cells(self._row.node, self.session.document.system) if self._row else ()

    def table(self) -> list[tuple[str, ...]]:
        """What the rows shown say."""
        return [cells(row.node, self.session.document.system) for row in self._rows]

    # Keys

    def action_move(self, by: int) -> None:
        """Move the cursor by rows."""
        self._go(self._cursor + by)

    def action_page(self, by: int) -> None:
        """Move the cursor by as many rows as are shown."""
        self._go(self._cursor + by * max(self.size.height - 3, 1))

    def action_fold(self) -> None:
        """Fold what is open, else go to what this stands in."""
        row = self._row
        if row is None:
            return
        if row.folded is False and not self._wanted:
            self._turn(row.node)
        elif above := [at for at in range(self._cursor) if self._rows[at].depth < row.depth]:
            self._go(above[-1])

    def action_unfold(self) -> None:
        """Unfold what is folded, else go to the first thing in it."""
        row = self._row
        if row is None:
            return
        if row.folded:
            self._turn(row.node)
        elif row.folded is False:
            self._go(self._cursor + 1)

    def action_turn(self) -> None:
        """Fold or unfold."""
        row = self._row
        if row is not None and row.folded is not None and not self._wanted:
            self._turn(row.node)

    def _turn(self, node: Node) -> None:
        self._flipped ^= {node.key}
        self._list_rows()
        self.redraw()

    def action_pieces(self) -> None:
        """Leave out what the runs are made of, or show it again."""
        document = self.session.document
        if self._pieces and document.selected_run is not None:
            document.select(whole(document.selection))
        self._pieces = not self._pieces
        self.update_cursor()

    def _list_rows(self) -> None:
        self._rows = rows(self._tree, self._flipped, self._wanted, pieces=self._pieces)
        self._labels = [row.node.label for row in self._rows]

    def _go(self, at: int) -> None:
        if self._rows:
            self._cursor = min(max(at, 0), len(self._rows) - 1)
            self.session.document.select(self._place())
            self.redraw()

    @property
    def _row(self) -> Row | None:
        """The row under the cursor; None where the filter leaves none."""
        return self._rows[self._cursor] if self._cursor < len(self._rows) else None

    def _place(self) -> Place:
        return self._rows[self._cursor].node.place

    def on_click(self, event: events.Click) -> None:
        """Select the row that was clicked; a click on its fold mark turns it."""
        at = self._top + event.y - 1
        if 1 <= event.y < self.size.height - 1 and at < len(self._rows):
            self._go(at)
            if event.x - 1 == self._rows[at].depth:
                self.action_turn()

    # The filter

    @on(Filter)
    def ask_filter(self, event: Filter) -> None:
        """Ask for the text to look for; the tree follows as it is typed, and Esc shows everything again."""
        event.stop()
        self.session.ask(
            Prompt("filter:", self._wanted, self._take_filter, check=self._why_no_filter, typed=self._filter, dismissed=lambda: self._filter(""))
        )

    @on(StepOut)
    def clear_filter(self, event: StepOut) -> None:
        """Show everything again."""
        if self._wanted:
            event.stop()
            self._filter("")

    def _why_no_filter(self, wanted: str) -> str | None:
        return None if rows(self._tree, (), wanted.strip()) else "nothing here holds that"

    def _take_filter(self, wanted: str) -> None:
        """Filter, and go to the first match, where nothing that matches is selected yet."""
        self._filter(wanted)
        selected = shows(self._rows, self.session.document.selection) and self._row
        if self._wanted and not (selected and holds(selected, self._wanted)):
            self._go(next((at for at, row in enumerate(self._rows) if holds(row, self._wanted)), self._cursor))

    def _filter(self, wanted: str) -> None:
        self._wanted = wanted.strip()
        self._list_rows()
        self._cursor = self._row_of(self.session.document.selection)
        self.redraw()
