"""What the commands about files do: save, open, start anew and leave, with nothing lost unasked."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from tui import commands
from tui.commands.actions import does
from tui.keep import file_names
from tui.pages.frame.question_line import Prompt, Question
from tui.work.document import Document

if TYPE_CHECKING:
    from tui.app import KerfdraftApp


@does(commands.Save)
def save(app: KerfdraftApp) -> None:
    """Save, under a name if there is none yet."""
    save_then(app, lambda: None)


@does(commands.SaveAs)
def save_as(app: KerfdraftApp) -> None:
    """Save under another name."""
    _ask_path(app, lambda: None)


def save_then(app: KerfdraftApp, then: Callable[[], None]) -> None:
    """Save and, once that is done, go on; a name is asked for where there is none."""
    if app.document.path is None:
        _ask_path(app, then)
        return

    def write() -> None:
        app.flash(app.document.save())
        then()

    if app.document.changed_on_disk:
        _ask_to_replace(app, f"{app.document.path.name} was changed by something else; replace it?", write)
    else:
        write()


def _ask_to_replace(app: KerfdraftApp, warning: str, write: Callable[[], None]) -> None:
    app.ask(Question(warning, lambda key: app.attempt(write) if key == "y" else None))


def _ask_path(app: KerfdraftApp, then: Callable[[], None]) -> None:
    document = app.document
    suggested = document.path or Path(file_names.suggested(document.design.name))

    def write(text: str) -> None:
        app.flash(document.save_as(file_names.as_path(text)))
        then()

    def chosen(text: str) -> None:
        path = file_names.as_path(text)
        if path == document.path:
            app.attempt(lambda: save_then(app, then))
        elif path.exists():
            _ask_to_replace(app, f"replace {path.name}? it is kept as {path.name}~", lambda: write(text))
        else:
            app.attempt(lambda: write(text))

    app.ask(Prompt("save as", str(suggested), chosen, file_names.why_no_file))


@does(commands.Open)
def open_other(app: KerfdraftApp) -> None:
    """Choose another design."""
    from tui.pages.files import FilesScreen

    when_settled(app, lambda: app.push_screen(FilesScreen(lambda path: app.attempt(lambda: open_path(app, path)))))


@does(commands.New)
def start_new(app: KerfdraftApp) -> None:
    """Start a new design."""
    when_settled(app, lambda: begin_new(app))


def begin_new(app: KerfdraftApp, path: Path | None = None) -> None:
    """Ask how to start a new design; `path` is the file it is to go to."""
    from tui.commands import new_design  # with the interview, which a session on a design seldom wants

    new_design.begin(app, path)


def open_path(app: KerfdraftApp, path: Path | None) -> None:
    """Work on a design file, or start a new design. Raises Refused when the file cannot be read."""
    if path is None:
        begin_new(app)
    else:
        app.work_on(Document.open(path))


@does(commands.Quit)
def leave(app: KerfdraftApp) -> None:
    """Quit, asking first when something is unsaved."""
    when_settled(app, app.leave)


def when_settled(app: KerfdraftApp, then: Callable[[], None]) -> None:
    """Go on at once when nothing is unsaved, else once the user has saved or let it go."""
    if app.document is None or not app.document.unsaved:
        then()
        return

    def answered(key: str) -> None:
        app.attempt(then if key == "d" else lambda: save_then(app, then))

    app.ask(Question("unsaved changes:", answered, (("s", "save"), ("d", "discard"))))
