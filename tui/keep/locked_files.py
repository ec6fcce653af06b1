"""Files that one process holds, locked, and others can find: how journals are named, written, found and told to be held."""

from __future__ import annotations

import errno
import fcntl
import os
import re
import stat
import time
from collections.abc import Iterator
from contextlib import suppress
from hashlib import sha256
from pathlib import Path

from platformdirs import user_state_path

from engine.files.safe_files import sync_folder

UNNAMED = "new design"
ENDING = ".unsaved"
_NEW = ".new"
_OLD_ENOUGH = 60.0  # seconds after which a half-written file is nobody's
_PRIVATE = 0o600


def state_folder() -> Path:
    """The folder for what has no place beside a design."""
    return user_state_path("kerfdraft", appauthor=False)


def names(path: Path | None, token: str) -> tuple[Path, ...]:
    """Where the journal of a design (None: of one without a file) may be, best first. `token`: eight hexadecimal digits."""
    return tuple(folder / f"{stem}{token}{ENDING}" for folder, stem in _places(path))


def journals(path: Path | None) -> Iterator[Path]:
    """Every journal of a design; what was left of writing one is removed."""
    for folder, stem in _places(path):
        wanted = re.compile(re.escape(stem) + f"[0-9a-f]{{8}}{re.escape(ENDING)}(?P<half>{re.escape(_NEW)})?")
        try:
            present = sorted(folder.iterdir())
        except OSError:
            continue
        for found in present:
            match = wanted.fullmatch(found.name)
            if match and match["half"]:
                _remove_if_old(found)
            elif match:
                yield found


def _places(path: Path | None) -> tuple[tuple[Path, str], ...]:
    """Folders, and how the names of a design's journals begin there."""
    if path is None:
        return ((state_folder(), f".{UNNAMED}."),)
    real = Path(os.path.realpath(path))
    digest = sha256(os.fsencode(real)).hexdigest()[:12]
    return (real.parent, f".{real.name}."), (state_folder(), f".{real.stem[:40]}.{digest}.")


def _remove_if_old(path: Path) -> None:
    with suppress(OSError):
        if time.time() - path.stat().st_mtime > _OLD_ENOUGH and not is_held(path):
            path.unlink()


def is_held(path: Path) -> bool:
    """Whether a process holds a file. Without locks, as on some network file systems, none is seen to."""
    with suppress(OSError):
        while True:
            handle = os.open(path, os.O_RDONLY)
            try:
                fcntl.flock(handle, fcntl.LOCK_SH | fcntl.LOCK_NB)
                if _is_at(handle, path):
                    return False
            except BlockingIOError:
                return True
            finally:
                os.close(handle)
    return False


def hold(path: Path) -> int:
    """A locked handle of a file that nobody holds. Raises OSError where somebody does, or the file is gone."""
    handle = os.open(path, os.O_RDONLY)
    try:
        _lock(handle)
        if not _is_at(handle, path):
            raise FileNotFoundError(errno.ENOENT, "another session took it", str(path))
    except OSError:
        os.close(handle)
        raise
    return handle


def _lock(handle: int) -> None:
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise BlockingIOError(errno.EWOULDBLOCK, "another session has it") from None
    except OSError:  # a file system without locks
        pass


def _is_at(handle: int, path: Path) -> bool:
    """Whether an open file is still the one of that name: who holds it may have replaced it."""
    return os.path.samestat(os.fstat(handle), path.stat())


def replaced(path: Path, text: str, mode: int, *, lasting: bool) -> int:
    """Write a file so that a reader finds the old text or the new one; a locked handle of it. Raises OSError.

    `lasting`: a power cut must not take it either.
    """
    half = path.with_name(path.name + _NEW)
    handle = os.open(half, os.O_RDWR | os.O_CREAT | os.O_TRUNC, mode)
    try:
        _lock(handle)
        with open(handle, "wb", closefd=False) as file:
            file.write(text.encode("utf-8"))
        if lasting:
            os.fsync(handle)
        half.replace(path)
        if lasting:
            sync_folder(path.parent)
    except OSError:
        os.close(handle)
        remove(half)
        raise
    return handle


def mode_beside(path: Path | None) -> int:
    """Access for a file beside another one: who may read that may read this."""
    with suppress(OSError):
        if path is not None:
            return stat.S_IMODE(path.stat().st_mode) & 0o666 | _PRIVATE
    return _PRIVATE


def remove(path: Path) -> None:
    """Remove a file where that can be done."""
    with suppress(OSError):
        path.unlink()
