"""The session from its start to its end: a design opened, the terminal taken and given back, an exit status."""

from __future__ import annotations

import gc
import os
import sys
import termios
from pathlib import Path
from typing import TYPE_CHECKING

from tui.terminal.given_back import restore, say
from tui.terminal.look import Look, prepare, refusal
from tui.terminal.streams import complain

if TYPE_CHECKING:
    from tui.work.document import Document


def run_session(path: Path | None, look: Look) -> int:
    """Open the session on a design file, or on the list of designs.

    The exit status: 0 left by its user, 1 stopped by an error of its own, 2 no
    session could be opened, 128 + the number of the signal that ended it.
    """
    from tui.work.document import Refused

    if why := refusal(os.environ):
        complain(why)
        return 2
    gc.disable()  # what is imported stays: looking through it for garbage would only take time
    try:
        document, new = _opened(path)
    except Refused as reason:
        complain(str(reason))
        return 2
    mouse = prepare(os.environ, look)
    from tui.app import KerfdraftApp
    from tui.keep import crash, first_days
    from tui.terminal import between_keys

    app = None
    before = termios.tcgetattr(sys.stdin)
    try:
        app = KerfdraftApp(document, look, new=new, greeting=first_days.greeting(), cautions_due=first_days.cautions_due)
        between_keys.prepare()
        app.run(mouse=mouse)
    except Exception as error:  # an error before the session was shown or while it was taken down: the driver does not see it
        restore(before)
        say((app.last_words if app else "") or crash.report(app.journal if app else None, error))
        return 1
    say(app.last_words)
    return app.return_code or 0


def _opened(path: Path | None) -> tuple[Document | None, Path | None]:
    """The design of a file, and the file that a new one is to go to where it is not there yet. Raises Refused.

    Where a session left unsaved work behind for a file that was never saved,
    a document for it is opened at once: the work is offered on it.
    """
    from tui.keep import file_names, locked_files
    from tui.work.document import Document, Refused

    if path is None:
        return None, None
    try:
        if not path.exists():
            path = file_names.as_path(str(path))
        is_new = not path.exists()
    except (OSError, ValueError):  # opening it says why
        is_new = False
    if not is_new:
        return Document.open(path), None
    if why := file_names.why_no_file(str(path)):
        raise Refused(f"{path}: {why}")
    return (Document.new(path), None) if any(locked_files.journals(path)) else (None, path)
