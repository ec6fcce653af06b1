"""The first row: which design this is, whether it is saved, and which gate set is shown."""

from __future__ import annotations

from tui import editing
from tui.document import Document
from tui.widgets.line_view import LineView
from tui.widgets.lines import Line, line, printable, spread


class TitleLine(LineView):
    """The title row of a screen."""

    def update_title(self, document: Document | None, page: str, glyphs: str) -> None:
        """Show the design, or the title of a page in front of it."""
        title = line(" ", (page, "title")) if page or document is None else document_title(document, glyphs)
        gates = () if page or document is None else _gates(document, glyphs)
        self.show([spread(title, gates, self.app.size.width, glyphs)])


def document_title(document: Document, glyphs: str) -> Line:
    """The design's name and what its file has of it."""
    state = ("not saved", "caution") if document.unsaved else ("saved" if document.on_file is not None else "new", "dim")
    return line(" ", (printable(document.design.name), "title"), (divider(glyphs), "dim"), state)


def divider(glyphs: str) -> str:
    """What stands between two things of a row."""
    return " | " if glyphs == "ascii" else " · "


def _gates(document: Document, glyphs: str) -> Line:
    total = len(document.gate_sets)
    which = f" {document.gate_set_index + 1}/{total}" if total > 1 else ""
    filter_now = editing.filter_state(document.design)
    state = line((f"{filter_now} filter", "caution"), (divider(glyphs), "dim")) if filter_now != editing.USUAL_FILTER else ()
    return (*state, *line(("gates: ", "dim"), printable(document.gate_set.name), (which, "dim"), " "))
