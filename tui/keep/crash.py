"""What is left to do when the session ends against the user's will: keep the work and say where it is."""

from __future__ import annotations

import platform
import traceback
from contextlib import suppress
from datetime import datetime
from secrets import token_hex

from engine.files.safe_files import close, fill, new_file
from tui.keep.journal import Journal
from tui.keep.locked_files import state_folder


def kept(journal: Journal | None) -> str:
    """Keep what is unsaved; one line that says where it is, or "" when there is nothing to keep."""
    if journal is None:
        return ""
    document = journal.document
    try:
        path = journal.keep()
    except OSError as error:
        return f"kerfdraft: unsaved work could not be kept: {error.strerror}"
    if path is None:
        journal.close()
        return ""
    which = f"kerfdraft {document.path}" if document.path else "kerfdraft, then a new design,"
    return f"kerfdraft: unsaved work is kept in {path}; {which} offers it again"


def report(journal: Journal | None, error: BaseException | None) -> str:
    """Write a report of an error, and keep what is unsaved; lines that say where both are."""
    lines = ["kerfdraft: stopped by an error of its own"]
    path = state_folder() / f"error-{datetime.now():%Y%m%d-%H%M%S}-{token_hex(2)}.txt"
    told = f"Python {platform.python_version()}, {platform.platform()}\n\n{_story(error)}"
    with suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        handle = new_file(path)
        try:
            fill(handle, told.encode("utf-8", "replace"))
        finally:
            close(handle)
        lines[0] += f"; a report is in {path}"
    try:
        lines.append(kept(journal))
    except Exception:  # the error may be in what keeping needs; the report must still be printed
        lines.append("kerfdraft: unsaved work could not be kept")
    return "\n".join(filter(None, lines))


def _story(error: BaseException | None) -> str:
    return "".join(traceback.format_exception(error)) if error else "no error is known\n"
