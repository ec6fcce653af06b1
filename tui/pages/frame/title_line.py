"""The first row: which design this is, in which file, whether it is saved, and which gate set is shown."""

from __future__ import annotations

from engine.design import defaults
from engine.units.printable import printable
from tui.draw.glyphs import Glyphs
from tui.draw.line_view import LineView
from tui.draw.lines import Line, cut, line, spread, width_of
from tui.work.document import Document
from tui.work.edits import editing

_FEWEST_CELLS = 12  # of the design's name, when its file's name stands beside it
_MOST_FILE_CELLS = 24


class TitleLine(LineView):
    """The title row of a screen."""

    def update_title(self, document: Document | None, page: str, glyphs: Glyphs) -> None:
        """Show the design, or the title of a page in front of it."""
        width = self.app.size.width
        if page or document is None:
            self.show([spread(line(" ", (page, "title")), (), width, glyphs)])
        else:
            self.show([document_title(document, width, glyphs)])


def document_title(document: Document, width: int, glyphs: Glyphs) -> Line:
    """A row of `width` cells: design, file and what the file has of it; filter and gate set at the right.

    What is too long gives way in turn: the design's name, the word before
    the gate set, the file's name. The state is never cut.
    """
    between, state = (glyphs.divider, "dim"), line(_state(document))
    file = line(between, (cut(printable(document.path.name), _MOST_FILE_CELLS, glyphs), "text")) if document.path else ()
    name = printable(document.design.name)
    longest = max(width // 3, _FEWEST_CELLS)
    full, short = (_gates(document, longest, glyphs, word) for word in ("gates: ", ""))
    room = width - width_of(line(" ", between, *state)) - 2
    fewest = min(_FEWEST_CELLS, width_of(line(name)))
    for gates in (full, short):
        left = room - width_of(gates) - width_of(file)
        if left >= fewest:
            break
    else:
        gates = full if room - width_of(full) >= width_of(line(name)) else short
        file, left = (), max(room - width_of(gates), 1)
    return spread(line(" ", (cut(name, left, glyphs), "title"), *file, between, *state), gates, width, glyphs)


def _state(document: Document) -> tuple[str, str]:
    if document.unsaved:
        return "not saved", "caution"
    if document.on_file is None:
        return "new", "dim"
    return ("file changed", "caution") if document.changed_on_disk else ("saved", "dim")


def _gates(document: Document, longest: int, glyphs: Glyphs, word: str) -> Line:
    total = len(document.gate_sets)
    which = f" {document.gate_set_index + 1}/{total}" if total > 1 else ""
    filter_now = editing.filter_state(document.design)
    state = line((f"{filter_now} filter", "caution"), (glyphs.divider, "dim")) if filter_now != defaults.FILTER else ()
    return (*state, *line((word, "dim"), cut(printable(document.gate_set.name), longest, glyphs), (which, "dim"), " "))
