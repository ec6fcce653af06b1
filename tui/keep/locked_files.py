"""Files that one process holds, locked, and others can find: how journals are named, written, found and told to be held."""

from __future__ import annotations

import errno
import fcntl
import os
import re
import stat
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from platformdirs import user_cache_path, user_state_path

from engine.files.safe_files import close, fill, is_old, new_file, opened, read_from, remove, sync_folder

UNNAMED = "new design"
ENDING = ".unsaved"
HALF = ".new"
"""Ending of what is being written, and of what was left of that."""
_MOST_BYTES = 2 << 20  # more than a design and the lines of comment above it
_OTHERS = 0o066


def state_folder() -> Path:
    """The folder for what has no place beside a design."""
    return user_state_path("kerfdraft", appauthor=False)


def cache_folder() -> Path:
    """The folder for what can be had anew."""
    return user_cache_path("kerfdraft", appauthor=False)


def names(path: Path | None, token: str) -> tuple[Path, ...]:
    """Where the journal of a design (None: of one without a file) may be, best first. `token`: eight hexadecimal digits."""
    return tuple(folder / f"{stem}{token}{ENDING}" for folder, stem in _places(path))


def journals(path: Path | None) -> Iterator[Path]:
    """Every journal of a design; what was left of writing one is removed."""
    for folder, stem in _places(path):
        wanted = re.compile(re.escape(stem) + f"[0-9a-f]{{8}}{re.escape(ENDING)}(?P<half>{re.escape(HALF)})?")
        try:
            present = sorted(folder.iterdir())
        except OSError:
            continue
        for found in present:
            match = wanted.fullmatch(found.name)
            if match and match["half"]:
                if is_old(found):
                    remove_if_free(found)
            elif match:
                yield found


def _places(path: Path | None) -> tuple[tuple[Path, str], ...]:
    """Folders, and how the names of a design's journals begin there."""
    if path is None:
        return ((state_folder(), f".{UNNAMED}."),)
    real = path
    with suppress(OSError):  # the folder it starts from is gone: the state folder is left
        real = Path(os.path.realpath(path))
    from hashlib import sha256  # loads OpenSSL: not before a journal is looked for

    digest = sha256(os.fsencode(real)).hexdigest()[:12]
    return (real.parent, f".{real.name}."), (state_folder(), f".{real.stem[:40]}.{digest}.")


# Locks


def is_held(path: Path) -> bool:
    """Whether a process is seen to hold a file. Without locks, as on some network file systems, none is."""
    with suppress(OSError):
        while True:
            handle = opened(path, link=False)
            try:
                fcntl.flock(handle, fcntl.LOCK_SH | fcntl.LOCK_NB)
                if is_at(handle, path):
                    return False
            except BlockingIOError:
                return True
            finally:
                close(handle)
    return False


def hold(path: Path) -> int:
    """A handle of a file that no process is seen to hold, locked where locks can be had. Raises OSError where one is, or the file is gone."""
    handle = opened(path, link=False)
    try:
        _lock(handle)
        if not is_at(handle, path):
            raise FileNotFoundError(errno.ENOENT, "another session took it", str(path))
    except OSError:
        close(handle)
        raise
    return handle


def hold_alone(path: Path) -> int:
    """As `hold`, for a file that nobody else must have: where locks cannot be had it raises OSError with ENOLCK."""
    handle = hold(path)
    try:
        locked = _lock(handle)
    except OSError:
        locked = False
    if not locked:
        close(handle)
        raise OSError(errno.ENOLCK, "whether another session has it cannot be seen here", str(path))
    return handle


def remove_if_free(path: Path) -> None:
    """Remove a file of the user's own that nobody holds: where no lock can be had it stays."""
    with suppress(OSError):
        handle = opened(path, link=False)
        try:
            if is_own(handle) and _lock(handle) and is_at(handle, path):
                path.unlink()
        finally:
            close(handle)


def _lock(handle: int) -> bool:
    """Lock an open file; False on a file system without locks. Raises BlockingIOError where another process has it."""
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise BlockingIOError(errno.EWOULDBLOCK, "another session has it") from None
    except OSError:
        return False
    return True


def is_at(handle: int, path: Path) -> bool:
    """Whether an open file is still the one of that name. Raises OSError where there is none of that name."""
    return os.path.samestat(os.fstat(handle), path.lstat())


def is_own(handle: int) -> bool:
    """Whether an open file is the user's own: what others leave about is not taken for theirs."""
    return os.fstat(handle).st_uid == os.geteuid()


# Reading and writing


def own_text(path: Path) -> str:
    """The text of a plain file of the user's own, which is no link and not too large. Raises OSError or ValueError."""
    handle = opened(path, link=False)
    try:
        if not is_own(handle):
            raise PermissionError(errno.EPERM, "a file of somebody else")
        return text_in(handle)
    finally:
        close(handle)


def text_in(handle: int) -> str:
    """The text of an open file. Raises OSError or ValueError."""
    data = read_from(handle, _MOST_BYTES + 1)
    if len(data) > _MOST_BYTES:
        raise OSError(errno.EFBIG, "too large")
    return data.decode("utf-8")


def replaced(path: Path, text: str, beside: Path | None, *, lasting: bool) -> int:
    """Write a file so that a reader finds the old text or the new one; a locked handle of it. Raises OSError.

    Who may read the file `beside` may read this one. `lasting`: a power cut must not take it either.
    """
    half = path.with_name(path.name + HALF)
    try:
        handle = new_file(half)
    except FileExistsError:  # left by a session that was killed, or planted
        remove_if_free(half)
        handle = new_file(half)
    try:
        _lock(handle)
        _open_to_the_same(handle, beside)
        fill(handle, text.encode("utf-8"), lasting=lasting)
        half.replace(path)
        if lasting:
            sync_folder(path.parent)
    except OSError:
        close(handle)
        remove(half)
        raise
    return handle


def _open_to_the_same(handle: int, beside: Path | None) -> None:
    """Let others read an open file as they may read the one beside it; its group only where it is of that group."""
    with suppress(OSError):
        if beside is None:
            return
        found = beside.stat()
        with suppress(OSError):
            os.fchown(handle, -1, found.st_gid)
        same_group = os.fstat(handle).st_gid == found.st_gid
        os.fchmod(handle, stat.S_IRUSR | stat.S_IWUSR | found.st_mode & _OTHERS & (~0 if same_group else ~stat.S_IRWXG))
