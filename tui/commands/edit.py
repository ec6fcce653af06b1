"""Commands that change the design: each one step that undo takes back."""

from __future__ import annotations

from engine.field.tuned import is_tuned, switched, tuned_note
from engine.shapes.vectors import DIRECTIONS
from tui.commands.base import Editing, OfPanes
from tui.work import progress
from tui.work.asking import Choice, Prompt, Question
from tui.work.document import Document
from tui.work.edits import deleting, editing
from tui.work.edits.additions import Addition, Offer, additions
from tui.work.session import Session


class EditValue(OfPanes, Editing):
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

    def do(self, session: Session) -> None:
        """Ask what to add after the selection."""
        _ask_addition(session, "add", additions(session.document))


class InsertPiece(Editing):
    """Insert something before what is selected."""

    keys = ("i",)
    label = "insert"
    title = "insert before"
    panes = ("ducts",)
    why_not = staticmethod(editing.why_no_insertion)

    def do(self, session: Session) -> None:
        """Ask what to insert before the selection."""
        _ask_addition(session, "insert", additions(session.document, before=True))


def _ask_addition(session: Session, verb: str, offered: tuple[Addition, ...]) -> None:
    by_key = {addition.key: addition for addition in offered}
    if len(offered) == 1:
        _ask_offer(session, offered[0])
    else:
        choices = tuple((addition.key, addition.label) for addition in offered)
        session.ask(Question(f"{verb}:", lambda key: session.attempt(lambda: _ask_offer(session, by_key[key])), choices))


def _ask_offer(session: Session, addition: Addition) -> None:
    """Add the one thing there is to add, or let it be chosen from a list."""

    def add_one(offer: Offer) -> None:
        if session.attempt(lambda: editing.add(session.document, addition.place, offer)) and offer.caution:
            session.flash(offer.caution)

    if len(addition.offers) == 1:
        add_one(addition.offers[0])
    else:
        choices = [Choice(offer.name, offer, offer.remark, offer.about, offer.group) for offer in addition.offers]
        session.choose(addition.label, choices, add_one)


class Branch(Editing):
    """Let a new run branch off at what is selected, the way that is asked for; a run is split there where needed."""

    keys = ("b",)
    label = "branch"
    title = "branch off here"
    panes = ("ducts",)
    why_not = staticmethod(editing.why_no_branch)

    def do(self, session: Session) -> None:
        """Ask which way it leaves, and branch off there."""

        def branch_off(key: str) -> None:
            toward = next((way for way in DIRECTIONS if way[0] == key), None)
            session.attempt(lambda: editing.branch(session.document, toward))

        ways = tuple((way[0], way) for way in DIRECTIONS)
        session.ask(Question("branch off toward:", branch_off, (*ways, ("b", "not known yet"))))


class Delete(Editing):
    """Delete what is selected. When more than one piece goes, it asks first; undo brings everything back."""

    keys = ("x", "delete")
    label = "delete"
    title = "delete"
    panes = ("ducts",)
    why_not = staticmethod(deleting.why_no_deletion)

    def do(self, session: Session) -> None:
        """Delete the selection, asking when more goes with it."""

        def delete_it() -> None:
            session.flash(f"{deleting.delete(session.document)}; u takes it back")

        if warning := deleting.deletion_warning(session.document):
            session.ask(Question(warning, lambda key: session.attempt(delete_it) if key == "y" else None))
        else:
            delete_it()


class Undo(Editing):
    """Take the last change back and go to where it was made."""

    keys = ("u", "ctrl+z")
    label = "undo"
    title = "undo"

    @staticmethod
    def why_not(document: Document | None) -> str | None:
        """Why there is no step to take back."""
        return None if document and document.undo_name else "nothing to undo"

    def do(self, session: Session) -> None:
        """Take a step back."""
        if step := session.document.undo():
            session.flash(f"undone: {step.name}")


class Redo(Editing):
    """Bring back the change last undone."""

    keys = ("U", "ctrl+y")
    label = "redo"
    title = "redo"

    @staticmethod
    def why_not(document: Document | None) -> str | None:
        """Why there is no step to bring back."""
        return None if document and document.redo_name else "nothing to redo"

    def do(self, session: Session) -> None:
        """Bring a step back."""
        if step := session.document.redo():
            session.flash(f"done again: {step.name}")


class Duplicate(Editing):
    """Put a copy of what is selected after it."""

    keys = ("d",)
    label = "duplicate"
    title = "duplicate"
    panes = ("ducts",)
    why_not = staticmethod(editing.why_no_duplicate)

    def do(self, session: Session) -> None:
        """Copy the selection."""
        editing.duplicate(session.document)


class MoveUp(Editing):
    """Move what is selected one place up, toward the collector."""

    keys = ("K", "shift+up")
    label = "move up"
    title = "move up"
    panes = ("ducts",)

    @staticmethod
    def why_not(document: Document | None) -> str | None:
        """Why nothing can be moved up."""
        return editing.why_no_move(document, -1)

    def do(self, session: Session) -> None:
        """Move the selection up."""
        editing.move(session.document, -1)


class MoveDown(Editing):
    """Move what is selected one place down, away from the collector."""

    keys = ("J", "shift+down")
    label = "move down"
    title = "move down"
    panes = ("ducts",)

    @staticmethod
    def why_not(document: Document | None) -> str | None:
        """Why nothing can be moved down."""
        return editing.why_no_move(document, +1)

    def do(self, session: Session) -> None:
        """Move the selection down."""
        editing.move(session.document, +1)


class LargerSize(OfPanes, Editing):
    """Look at the next larger stocked size of the selected run, and at what it would do, before taking it."""

    keys = ("plus", "equals_sign")
    title = "next larger size"
    panes = ("ducts",)
    why_not = staticmethod(editing.why_no_run)


class SmallerSize(OfPanes, Editing):
    """Look at the next smaller stocked size of the selected run, and at what it would do, before taking it."""

    keys = ("minus", "underscore")
    title = "next smaller size"
    panes = ("ducts",)
    why_not = staticmethod(editing.why_no_run)


class Rename(Editing):
    """Give what is selected another name; everything that refers to it follows."""

    keys = ("r",)
    label = "rename"
    title = "rename"
    panes = ("ducts", "piece")
    why_not = staticmethod(editing.why_no_rename)

    def do(self, session: Session) -> None:
        """Ask for another name of the selection."""
        document = session.document
        session.ask(
            Prompt(
                "name", editing.name_of(document), lambda text: session.attempt(lambda: editing.rename(document, text)),
                check=lambda text: editing.why_bad_name(document, text),
            )
        )  # fmt: skip


class FilterState(Editing):
    """Let the collector work with its filter clean, used or dirty: each press takes the next of them."""

    keys = ("y",)
    title = "filter: clean, used or dirty"
    why_not = staticmethod(editing.why_no_filter_state)

    def do(self, session: Session) -> None:
        """Take the next state of the filter; the title row says which."""
        editing.next_filter_state(session.document)


class SwitchTuning(Editing):
    """Go by the readings that the design was tuned to, or by its own figures again: for everything that is solved. t on the test sheet tunes it."""

    title = "tuned to readings: on or off"

    @staticmethod
    def why_not(document: Document | None) -> str | None:
        """There must be something to switch."""
        return None if document and is_tuned(document.design) else "never tuned to readings: t on the test sheet does it"

    def do(self, session: Session) -> None:
        """Switch it, and say what holds now."""
        design = session.document.design
        on = not design.tuned.on
        session.document.apply("tuned to readings" if on else "by its own figures", switched(design, on=on))
        session.flash(tuned_note(session.document.design) or "by the design's own figures again")


class MarkWork(Editing):
    """Mark a run or a piece as bought, cut, hung, tested: each press takes the next; at the collector every run at once.

    It is kept in the file; lists of parts and cuts follow.
    """

    keys = ("I",)
    title = "mark as bought, cut, hung, tested"
    panes = ("ducts",)
    why_not = staticmethod(progress.why_no_state)

    def do(self, session: Session) -> None:
        """Take the next state of the work."""
        session.flash(f"marked: {progress.next_state(session.document)}")


class SwitchUnits(Editing):
    """Show the design in metric or in imperial units: kept in its file, so that it counts as a change. What was typed stays as typed."""

    keys = ("m",)
    label = "units"
    title = "metric or imperial units"

    def do(self, session: Session) -> None:
        """Show the other units, and say why the design then counts as changed."""
        session.document.switch_units()
        session.flash(f"{session.document.system} units, kept in the file; u takes it back")
