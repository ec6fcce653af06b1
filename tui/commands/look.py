"""Commands that show something else of the design, or move about in what is shown."""

from __future__ import annotations

from engine.design.places import ROOM
from tui.commands.base import Looking, OfPanes
from tui.work.edits import editing
from tui.work.findings import show_finding
from tui.work.session import Session


class GoToRoom(Looking):
    """Go to the walls of the room; there a draws them or adds a door, a post, a place to keep clear."""

    title = "walls, doors and posts of the room"

    def do(self, session: Session) -> None:
        """Select the walls."""
        session.document.select(ROOM)
        session.flash("the room: a draws its walls, or adds a door, a post, a place to keep clear")


class NextGateSet(Looking):
    """Show the next gate set: the machines working at once."""

    keys = ("s",)
    label = "sets"
    title = "next gate set"
    why_not = staticmethod(editing.why_no_other_gate_set)

    def do(self, session: Session) -> None:
        """Show the next gate set."""
        session.document.show_gate_set(session.document.gate_set_index + 1)


class PreviousGateSet(Looking):
    """Show the gate set before this one."""

    keys = ("S",)
    title = "previous gate set"
    why_not = staticmethod(editing.why_no_other_gate_set)

    def do(self, session: Session) -> None:
        """Show the gate set before."""
        session.document.show_gate_set(session.document.gate_set_index - 1)


class NextFinding(Looking):
    """Go to the next fault or caution: select where it is and show it in the status line."""

    keys = ("f",)
    label = "findings"
    title = "next finding"

    def do(self, session: Session) -> None:
        """Go to the next finding."""
        _go_to_finding(session, +1)


class PreviousFinding(Looking):
    """Go to the fault or caution before this one."""

    keys = ("F",)
    title = "previous finding"

    def do(self, session: Session) -> None:
        """Go to the finding before."""
        _go_to_finding(session, -1)


def _go_to_finding(session: Session, by: int) -> None:
    """Those that count in the status row, and no others: notes and what is accepted stand in the results."""
    found = [condition for condition in session.assessment.conditions if condition.severity != "note" and not condition.accepted]
    if not found:
        session.flash("no fault and no caution; notes stand in the results, 3")
        return
    at = next((at for at, condition in enumerate(found) if condition.key == session.finding), None)
    at = (at + by) % len(found) if at is not None else 0 if by > 0 else len(found) - 1
    condition = found[at]
    session.finding = condition.key
    show_finding(session.document, condition.worst)
    session.document.watch("selection")  # told of anew, though it may have been selected already
    session.flash(f"{at + 1}/{len(found)} {condition.standing}: {condition.brief}", trouble=condition.severity == "fault")


class Filter(OfPanes, Looking):
    """Show only what contains the text typed."""

    keys = ("/",)
    label = "filter"
    title = "filter"
    panes = ("ducts",)


class Enlarge(OfPanes, Looking):
    """Let the pane in use fill the screen, or put it back."""

    keys = ("z",)
    label = "enlarge"
    title = "enlarge pane"


class CopyRow(OfPanes, Looking):
    """Copy the row or value under the cursor to the terminal's clipboard, over SSH too. A terminal may refuse, and does not say so."""

    keys = ("c",)
    label = "copy"
    title = "copy row"


class CopyTable(OfPanes, Looking):
    """Copy all rows of the pane as tab-separated text, for a spreadsheet; as for one row, a terminal may refuse."""

    keys = ("C",)
    title = "copy table"


class DuctsPane(OfPanes, Looking):
    """Go to the ducts: the tree of runs and pieces."""

    keys = ("1",)
    title = "ducts pane"


class PiecePane(OfPanes, Looking):
    """Go to the form of what is selected."""

    keys = ("2",)
    title = "piece pane"


class ResultsPane(OfPanes, Looking):
    """Go to the results."""

    keys = ("3",)
    title = "results pane"


class StepOut(Looking):
    """From a field to its form, from a form to the tree, from a page to what was before it. Never quits, never loses."""

    keys = ("escape",)
    label = "back"
    title = "one step outward"

    def do(self, session: Session) -> None:
        """Nothing lies further out."""
        session.flash("q quits, ? helps")
