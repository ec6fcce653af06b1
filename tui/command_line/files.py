"""Design files of the command line: read, written, and what is wrong with them in one line each."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

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


def written(design: Design, path: Path) -> bool:
    """Whether a design could be written; what stood in the way, such as a file of that name, is told."""
    from engine.files.design_file import DesignFileError, save

    if path.exists():
        complain(f"{path}: there is such a file already; wanted: a name for a new one")
        return False
    try:
        save(design, path)
    except DesignFileError as error:
        complain(f"{path}: {error.mistakes[0]}")
        return False
    return True


def complain(text: str) -> None:
    """Say what is wrong, in a line of its own."""
    print("kerfdraft:", text, file=sys.stderr)
