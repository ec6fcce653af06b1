"""What is seen of a file on the disk: where it is, and what tells it from what it is after something else wrote to it."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple


def real_path(path: Path | None) -> Path | None:
    """A path with every link followed; as it is where the folder it starts from is gone."""
    with suppress(OSError):
        return Path(os.path.realpath(path)) if path is not None else None
    return path


class Stamp(NamedTuple):
    """What tells a file from what it is after something else wrote to it."""

    inode: int
    written: int
    size: int


def stamp(path: Path | None) -> Stamp | None:
    """The stamp of a file; None when there is none."""
    try:
        found = path.stat() if path is not None else None
    except OSError:
        return None
    return Stamp(found.st_ino, found.st_mtime_ns, found.st_size) if found else None
