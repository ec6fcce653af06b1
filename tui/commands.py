"""One class per command. Bindings, the key line, the palette and help are all made from these.

A command is a message: the focused widget gets it first and it bubbles up to
the screen and the app until one of them handles it. Its docstring is its help.
"""

from __future__ import annotations

from tui import editing
from tui.command_base import GROUPS, Command, Editing, Filing, Looking, action_of, bindings, help_of, keys_text
from tui.document import Document
from tui.search_commands import SEARCHES

__all__ = ["GROUPS", "Command", "action_of", "bindings", "help_of", "keys_text"]


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


class NextGateSet(Looking):
    """Show the next gate set: the machines working at once."""

    keys = ("s",)
    label = "sets"
    title = "next gate set"
    why_not = staticmethod(editing.why_no_other_gate_set)


class PreviousGateSet(Looking):
    """Show the gate set before this one."""

    keys = ("S",)
    title = "previous gate set"
    why_not = staticmethod(editing.why_no_other_gate_set)


class PlanPage(Looking):
    """See the ducts in their room, from above and from the side, with what is open, shut and wrong; move machines and the collector."""

    keys = ("p",)
    label = "plan"
    title = "plan of the room"


class TogetherPage(Looking):
    """See which machines may work at once: every set of them solved, what each may work with, and what helps it."""

    keys = ("M",)
    label = "together"
    title = "which gates may be open together"
    why_not = staticmethod(editing.why_not_together)


class BoresPage(Looking):
    """See the stocked bores beside the selected run's: the flows at which each is neither slow nor fast, and what a metre of it costs."""

    keys = ("V",)
    label = "bores"
    title = "stocked bores for this run"
    why_not = staticmethod(editing.why_no_run)


class GoToRoom(Looking):
    """Go to the walls of the room; there a draws them or adds a door, a post, a place to keep clear."""

    title = "walls, doors and posts of the room"


class NextFinding(Looking):
    """Go to the next fault or caution: select where it is and show it in the status line."""

    keys = ("f",)
    label = "findings"
    title = "next finding"


class PreviousFinding(Looking):
    """Go to the fault or caution before this one."""

    keys = ("F",)
    title = "previous finding"


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


class Filter(Looking):
    """Show only what contains the text typed."""

    keys = ("/",)
    label = "filter"
    title = "filter"
    panes = ("ducts",)


class Enlarge(Looking):
    """Let the pane in use fill the screen, or put it back."""

    keys = ("z",)
    label = "enlarge"
    title = "enlarge pane"


class CopyRow(Looking):
    """Copy the row or value under the cursor to the terminal's clipboard, over SSH too. A terminal may refuse, and does not say so."""

    keys = ("c",)
    label = "copy"
    title = "copy row"


class CopyTable(Looking):
    """Copy all rows of the pane as tab-separated text, for a spreadsheet; as for one row, a terminal may refuse."""

    keys = ("C",)
    title = "copy table"


class DuctsPane(Looking):
    """Go to the ducts: the tree of runs and pieces."""

    keys = ("1",)
    title = "ducts pane"


class PiecePane(Looking):
    """Go to the form of what is selected."""

    keys = ("2",)
    title = "piece pane"


class ResultsPane(Looking):
    """Go to the results."""

    keys = ("3",)
    title = "results pane"


class StepOut(Looking):
    """From a field to its form, from a form to the tree, from a page to what was before it. Never quits, never loses."""

    keys = ("escape",)
    label = "back"
    title = "one step outward"


class Save(Filing):
    """Save the design to its file; the version before is kept as NAME.toml~."""

    keys = ("ctrl+s", "w")
    label = "save"
    title = "save"


class SaveAs(Filing):
    """Save the design under another name and go on with that file."""

    keys = ("W",)
    title = "save as"


class Revert(Filing):
    """Go back to the design as its file holds it; one step that can be undone."""

    title = "back to the saved design"
    why_not = staticmethod(editing.why_no_revert)


class Open(Filing):
    """Open another design."""

    keys = ("o",)
    label = "open"
    title = "open"


class New(Filing):
    """Start a new design: an interview about the shop, which can be left and gone on with, and a first draft from it."""

    keys = ("N",)
    title = "new design"


class SafetyPage(Looking):
    """Read the health and safety page: what no computed figure covers."""

    keys = ("H",)
    label = "safety"
    title = "health and safety"


class Palette(Looking):
    """Find a command by its name."""

    keys = (":", "ctrl+p")
    label = "commands"
    title = "command palette"


class Help(Looking):
    """Show the keys that work here and what they do."""

    keys = ("?", "f1")
    label = "help"
    title = "help"


class Quit(Filing):
    """Leave. With unsaved changes it asks first."""

    keys = ("q", "ctrl+q", "ctrl+c")
    label = "quit"
    title = "quit"


# Next likely first: the key line drops from the end, but never help and quit.
ALWAYS: tuple[type[Command], ...] = (Help, Quit)
WORKBENCH: tuple[type[Command], ...] = (
    EditValue, AddPiece, Branch, Delete, Undo, NextGateSet, NextFinding, InsertPiece, Save, Redo, Enlarge, Filter, Duplicate,
    MoveUp, MoveDown, LargerSize, SmallerSize, Rename, PlanPage, TogetherPage, *SEARCHES, BoresPage, GoToRoom, FilterState, SwitchUnits, SafetyPage, Palette, Open, PreviousGateSet, PreviousFinding, CopyRow, CopyTable, DuctsPane, PiecePane,
    ResultsPane, StepOut, SaveAs, Revert, New, *ALWAYS,
)  # fmt: skip
PAGE: tuple[type[Command], ...] = (StepOut, *ALWAYS)
BY_NAME: dict[str, type[Command]] = {command.__name__: command for command in WORKBENCH}
