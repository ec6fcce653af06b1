"""Design files of the command line: read, written, and what is wrong with them in one line each."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from tui.terminal.streams import complain

if TYPE_CHECKING:
    from engine.design import Design

OK, FAULTS, UNREADABLE = 0, 1, 2


def loaded(path: Path) -> Design | None:
    """The design in a file; None, and its mistakes told, where there is none."""
    from engine.design.mistake import MOST_MISTAKES
    from engine.files.design_file import DesignFileError, load

    try:
        return load(path)
    except DesignFileError as error:
        for mistake in error.mistakes:
            complain(f"{path}: {mistake}")
        if 1 < len(error.mistakes) <= MOST_MISTAKES:  # beyond, the last of them says so
            complain(f"{path}: these are all {len(error.mistakes)} mistakes")
        return None


def why_not_written(path: Path) -> str | None:
    """Why no new file can be made of that name, or None. A link is a file already, wherever it leads."""
    try:
        path.lstat()
    except FileNotFoundError:
        if not path.parent.is_dir():
            return f"not saved: there is no folder {path.parent}"
    except OSError as error:
        return f"not saved: {_reason(error)}; wanted: the name of a new file"
    else:
        return "there is such a file already; wanted: a name for a new one"
    try:
        from tempfile import TemporaryFile  # not before a file is to be written

        with TemporaryFile(dir=path.parent):  # no mode of a folder tells whether its file system takes files
            return None
    except OSError as error:
        return f"not saved: no file can be made in {path.parent}: {_reason(error)}"


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()


def written(design: Design, path: Path) -> bool:
    """Whether a design could be written; what stood in the way, such as a file of that name, is told."""
    from engine.files.design_file import DesignFileError, save

    if why := why_not_written(path):
        complain(f"{path}: {why}")
        return False
    try:
        save(design, path)
    except DesignFileError as error:
        complain(f"{path}: {error.mistakes[0]}")
        return False
    return True
