"""One class per command. Bindings, the key line, the palette and help are all made from these.

A command is a message: the focused widget gets it first and it bubbles up to
the screen and the app until one of them handles it. Its docstring is its help.
"""

from __future__ import annotations

from tui.commands.base import GROUPS, Command, Filing, Looking, action_of, bindings, help_of, keys_text
from tui.commands.edit import (
    AddPiece,
    Branch,
    Delete,
    Duplicate,
    EditValue,
    FilterState,
    InsertPiece,
    LargerSize,
    MoveDown,
    MoveUp,
    Redo,
    Rename,
    SmallerSize,
    SwitchUnits,
    Undo,
)  # fmt: skip
from tui.commands.search import SEARCHES
from tui.work import editing

__all__ = ["GROUPS", "Command", "action_of", "bindings", "help_of", "keys_text"]


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
    """See the stocked bores beside the selected run's: the flows at which each is neither slow nor fast, and the friction of a metre of it."""

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
