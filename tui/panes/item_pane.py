"""A pane of items: lines that belong together, with a cursor on those that lead somewhere."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType

from tui.draw.lines import Line, fit, restyle
from tui.panes.item import Item
from tui.panes.pane import ROW_KEYS, Content, Pane, more_note, window


class ItemPane(Pane):
    """Shows `list_items` under `title`; the item under the cursor shows its further lines."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *ROW_KEYS,
        Binding("pagedown", "move(5)", "a page down", show=False),
        Binding("pageup", "move(-5)", "a page up", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._items: list[Item] = []
        self._cursor = 0
        self._top = 0
        self._keys_shown: object = None

    def list_items(self, width: int, height: int, /) -> list[Item]:
        """The items, in lines of at most `width` cells."""
        raise NotImplementedError

    def title(self) -> Line:
        """What stands in the upper edge."""
        raise NotImplementedError

    def go_to(self, at: int) -> None:
        """Put the cursor on an item, with what stands above it in sight where that fits."""
        self._cursor, self._top = at, 0

    def redraw(self) -> None:
        """Draw the pane anew; the key line follows where other keys then have a meaning."""
        super().redraw()
        keys = getattr(self, "key_entries", None)
        if keys != self._keys_shown:
            self._keys_shown = keys
            self.refresh_bindings()

    @property
    def item(self) -> Item | None:
        """The item under the cursor."""
        return self._items[self._cursor] if self._cursor < len(self._items) else None

    def content(self, width: int, height: int) -> Content:
        """The rows around the cursor."""
        self._items = self.list_items(width, height)
        self._cursor = min(self._cursor, max(len(self._items) - 1, 0))
        rows, spans = self._rows(width)
        first, last = spans[self._cursor] if spans else (0, 0)
        at_start = self._cursor == min(self.stops(), default=0)
        self._top = window(self._top, 0 if at_start and last < height else first, last, height, len(rows))
        note = more_note(self._top, height, len(rows), first, self.session.glyphs)
        return Content(self.title(), rows[self._top : self._top + height], note)

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

    def stops(self) -> list[int]:
        """The items that lead somewhere."""
        return [at for at, item in enumerate(self._items) if item.leads is not None]

    def action_move(self, by: int) -> None:
        """Move the cursor among the rows that lead somewhere; scroll where none does."""
        stops = self.stops()
        if not stops:
            return
        now = max((at for at, stop in enumerate(stops) if stop <= self._cursor), default=-1)
        self._cursor = stops[min(max(now + by, 0), len(stops) - 1)]
        self.redraw()

    def on_click(self, event: events.Click) -> None:
        """Put the cursor on the row that was clicked."""
        _, spans = self._rows(self.size.width - 2)
        row = self._top + event.y - 1
        found = next((at for at, (first, last) in enumerate(spans) if first <= row <= last and self._items[at].leads is not None), None)
        if event.y and found is not None:
            self._cursor = found
            self.redraw()
