"""Commands that change the design: each one step that undo takes back."""

from __future__ import annotations

from tui.commands.base import Editing
from tui.work import editing
from tui.work.document import Document


class EditValue(Editing):
    """Edit the first value of what is selected, or the value under the cursor, with the old one pre-selected."""

    keys = ("e", "enter")
    label = "edit"
    title = "edit value"


class AddPiece(Editing):
    """Add something after what is selected: a piece to a run, a port to a machine, a size to a stock, and so on."""

    keys = ("a",)
    label = "add"
    title = "add after"
    panes = ("ducts", "piece")
    why_not = staticmethod(editing.why_no_addition)


class InsertPiece(Editing):
    """Insert something before what is selected."""

    keys = ("i",)
    label = "insert"
    title = "insert before"
    panes = ("ducts",)
    why_not = staticmethod(editing.why_no_insertion)


class Branch(Editing):
    """Let a new run branch off at what is selected; a run is split there where needed."""

    keys = ("b",)
    label = "branch"
    title = "branch off here"
    panes = ("ducts",)
    why_not = staticmethod(editing.why_no_branch)


class Delete(Editing):
    """Delete what is selected. When more than one piece goes, it asks first; undo brings everything back."""

    keys = ("x", "delete")
    label = "delete"
    title = "delete"
    panes = ("ducts",)
    why_not = staticmethod(editing.why_no_deletion)


class Undo(Editing):
    """Take the last change back and go to where it was made."""

    keys = ("u", "ctrl+z")
    label = "undo"
    title = "undo"

    @staticmethod
    def why_not(document: Document | None) -> str | None:
        return None if document and document.undo_name else "nothing to undo"


class Redo(Editing):
    """Bring back the change last undone."""

    keys = ("U", "ctrl+y")
    label = "redo"
    title = "redo"

    @staticmethod
    def why_not(document: Document | None) -> str | None:
        return None if document and document.redo_name else "nothing to redo"


class Duplicate(Editing):
    """Put a copy of what is selected after it."""

    keys = ("d",)
    label = "duplicate"
    title = "duplicate"
    panes = ("ducts",)
    why_not = staticmethod(editing.why_no_duplicate)


class MoveUp(Editing):
    """Move what is selected one place up, toward the collector."""

    keys = ("K", "shift+up")
    label = "move up"
    title = "move up"
    panes = ("ducts",)

    @staticmethod
    def why_not(document: Document | None) -> str | None:
        return editing.why_no_move(document, -1)


class MoveDown(Editing):
    """Move what is selected one place down, away from the collector."""

    keys = ("J", "shift+down")
    label = "move down"
    title = "move down"
    panes = ("ducts",)

    @staticmethod
    def why_not(document: Document | None) -> str | None:
        return editing.why_no_move(document, +1)


class Rename(Editing):
    """Give what is selected another name; everything that refers to it follows."""

    keys = ("r",)
    label = "rename"
    title = "rename"
    panes = ("ducts", "piece")
    why_not = staticmethod(editing.why_no_rename)


class SwitchUnits(Editing):
    """Show the design in metric or in imperial units: kept in its file, so that it counts as a change. What was typed stays as typed."""

    keys = ("m",)
    label = "units"
    title = "metric or imperial units"


class LargerSize(Editing):
    """Look at the next larger stocked size of the selected run, and at what it would do, before taking it."""

    keys = ("plus", "equals_sign")
    title = "next larger size"
    panes = ("ducts",)
    why_not = staticmethod(editing.why_no_run)


class SmallerSize(Editing):
    """Look at the next smaller stocked size of the selected run, and at what it would do, before taking it."""

    keys = ("minus", "underscore")
    title = "next smaller size"
    panes = ("ducts",)
    why_not = staticmethod(editing.why_no_run)


class FilterState(Editing):
    """Let the collector work with its filter clean, used or dirty: each press takes the next of them."""

    keys = ("y",)
    title = "filter: clean, used or dirty"
    why_not = staticmethod(editing.why_no_filter_state)
