"""Commands about files: save, open, start anew and leave, with nothing lost unasked."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from engine.design.differences import changes
from engine.files.design_file import DesignFileError, load
from engine.files.safe_files import previous_name
from engine.units.words import counted
from tui.commands.base import Filing
from tui.keep import file_names
from tui.work.asking import Prompt, Question
from tui.work.document import Document
from tui.work.edits import editing
from tui.work.session import Page, Session


class Save(Filing):
    """Save the design to its file; the version before is kept as NAME.toml~."""

    keys = ("ctrl+s", "w")
    label = "save"
    title = "save"

    def do(self, session: Session) -> None:
        """Save, under a name if there is none yet."""
        _save_then(session, lambda: None)


class SaveAs(Filing):
    """Save the design under another name and go on with that file; a name alone is beside the file that is open."""

    keys = ("W",)
    title = "save as"

    def do(self, session: Session) -> None:
        """Ask for the name and save."""
        _ask_path(session, lambda: None)


class Revert(Filing):
    """Go back to the design as its file holds it; one step that can be undone."""

    title = "back to the saved design"
    why_not = staticmethod(editing.why_no_revert)

    def do(self, session: Session) -> None:
        """Go back to what is saved."""
        session.document.revert()


class Open(Filing):
    """Open another design."""

    keys = ("o",)
    label = "open"
    title = "open"

    def do(self, session: Session) -> None:
        """Let another design be chosen."""
        _when_settled(session, lambda: session.open(Page.DESIGNS))


class New(Filing):
    """Start a new design: an interview about the shop, which can be left and gone on with, and a first draft from it."""

    keys = ("N",)
    title = "new design"

    def do(self, session: Session) -> None:
        """Ask how to start."""
        _when_settled(session, lambda: session.open(Page.NEW_DESIGN))


class Quit(Filing):
    """Leave. With unsaved changes it asks first."""

    keys = ("q", "ctrl+q", "ctrl+c")
    label = "quit"
    title = "quit"

    def do(self, session: Session) -> None:
        """Leave, once nothing is unsaved."""
        _when_settled(session, session.leave)


def open_path(session: Session, path: Path | None) -> None:
    """Work on a design file, or start a new design. Raises Refused when the file cannot be read."""
    if path is None:
        session.open(Page.NEW_DESIGN)
    else:
        session.work_on(Document.open(path))


def _save_then(session: Session, then: Callable[[], None]) -> None:
    """Save and, once that is done, go on; a name is asked for where there is none."""
    document = session.document
    if document.path is None:
        _ask_path(session, then)
        return

    def write() -> None:
        session.flash(document.save())
        then()

    if document.changed_on_disk:
        _ask_to_replace(session, f"{document.path.name} was changed by something else; replace it?", write)
    else:
        write()


def _ask_to_replace(session: Session, warning: str, write: Callable[[], None]) -> None:
    session.ask(Question(warning, lambda key: session.attempt(write) if key == "y" else None))


def _ask_path(session: Session, then: Callable[[], None]) -> None:
    document = session.document
    suggested = document.path.name if document.path else file_names.suggested(document.design.name)

    def write(path: Path) -> None:
        session.flash(document.save_as(path))
        then()

    def chosen(text: str) -> None:
        path = file_names.as_path(text)
        if document.path and path.name == str(path):
            path = document.path.with_name(path.name)
        if path == document.path:
            session.attempt(lambda: _save_then(session, then))
        elif path.exists():
            _ask_to_replace(session, f"replace {path.name}? {_differences(document, path)}; kept as {previous_name(path).name}", lambda: write(path))
        else:
            session.attempt(lambda: write(path))

    session.ask(Prompt("save as", suggested, chosen, file_names.why_no_file))


def _differences(document: Document, path: Path) -> str:
    """What tells the design in a file from the one at hand."""
    try:
        found = changes(load(path), document.design)
    except DesignFileError:
        return "it holds no design"
    return f"{counted(len(found), 'difference')}: {found[0]}" if found else "it holds the same"


def _when_settled(session: Session, then: Callable[[], None]) -> None:
    """Go on at once when nothing is unsaved, else once the user has saved or let it go."""
    if session.opened is None or not session.opened.unsaved:
        then()
        return

    def answered(key: str) -> None:
        session.attempt(then if key == "d" else lambda: _save_then(session, then))

    session.ask(Question("unsaved changes:", answered, (("s", "save"), ("d", "discard"))))
