"""Files written and read so that nothing is lost and nothing is redirected.

What is written has a name of its own first, is on the disk, and reads back
before it takes the place of anything. A file that is replaced keeps its
owner, group, mode, access list and attributes; where the system does not let
a new file have them, the present one is written into, after a copy of it.
"""

from __future__ import annotations

import errno
import os
import re
import stat
import time
from collections.abc import Mapping
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from engine.values import dataclass

LONGEST_FILE_NAME = 255  # bytes, on every usual file system; common practice, no source
OLD_ENOUGH = 60.0  # seconds after which what was left of a write is nobody's
_PRIVATE = 0o600
_USUAL = 0o666  # less what the process's mask takes
_LEFT_OVER = re.compile(r"\.kerfdraft-[0-9a-f]{8}\.(new|old)")


@dataclass(frozen=True, slots=True)
class Access:
    """Who may do what with a file: its owner, group and mode, and its extended attributes, the access list among them."""

    owner: int
    group: int
    mode: int
    attributes: Mapping[str, bytes]


# Reading


def opened(path: Path, *, link: bool = True) -> int:
    """A handle of a plain file, to read. Neither a pipe nor a device is waited for; without `link` none is followed. Raises OSError."""
    handle = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC | (0 if link else os.O_NOFOLLOW))
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        close(handle)
        raise OSError(errno.EINVAL, "not a plain file")
    return handle


def read_from(handle: int, most: int) -> bytes:
    """What an open file holds from its start, at most so many bytes. Raises OSError."""
    data = bytearray()
    while len(data) < most and (part := os.pread(handle, most - len(data), len(data))):
        data += part
    return bytes(data)


def time_of(seconds: float) -> datetime:
    """The local time of a file's time; one that no calendar has is the last or the first that ours has."""
    try:
        return datetime.fromtimestamp(seconds)
    except (ValueError, OverflowError, OSError):
        return datetime.max if seconds > 0 else datetime.min


# Writing


def new_file(path: Path, mode: int = _PRIVATE) -> int:
    """A handle of a file that was not there before, to write and read; nobody else's until its mode says so. Raises OSError."""
    return os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW | os.O_CLOEXEC, mode)


def fill(handle: int, data: bytes, *, lasting: bool = True) -> None:
    """Make `data` all that an open file holds; `lasting`: on the disk too. Raises OSError, also where it does not read back."""
    written = 0
    while written < len(data):
        written += os.pwrite(handle, data[written:], written)
    os.ftruncate(handle, len(data))
    if lasting:
        os.fsync(handle)
    if read_from(handle, len(data) + 1) != data:
        raise OSError(errno.EIO, "what was written does not read back")


def close(handle: int) -> None:
    """Let go of an open file: what was synced is on the disk, whatever the system says of closing it."""
    with suppress(OSError):
        os.close(handle)


def sync_folder(folder: Path) -> None:
    """Make the names in a folder last; where the system cannot, so be it."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)
        try:
            os.fsync(handle)
        finally:
            close(handle)


def replace_file(path: Path, data: bytes) -> int:
    """Make `data` the content of a file, links followed; one that held something else stays as `previous_name`.

    How many other names the file had (hard links), which hold the version
    before from now on. Raises OSError or ValueError; the file then holds what it held.
    """
    if path.is_symlink() and not path.exists():
        raise OSError(errno.ENOENT, "a link to a file that is not there")
    path = Path(os.path.realpath(path))
    before = _present(path)
    _remove_left_overs(path.parent)
    token = os.urandom(4).hex()
    new, spare = (path.with_name(f".kerfdraft-{token}.{ending}") for ending in ("new", "old"))
    others = 0
    try:
        handle = new_file(new, _USUAL if before is None else _PRIVATE)
        try:
            fill(handle, data)
            alike = before is None or opens_like(handle, before)
        finally:
            close(handle)
        # A second save of the same must not take the place of the version before.
        differs = before is not None and (path.stat().st_size != len(data) or _content(path) != data)
        if differs:
            _keep_previous(path, spare, linked=alike)
        if alike:
            others = _other_names(path) if before is not None else 0
            new.replace(path)
        elif differs:
            _write_into(path, data)
    finally:
        for left in (new, spare):
            with suppress(OSError):
                left.unlink()
    sync_folder(path.parent)
    return others


def previous_name(path: Path) -> Path:
    """Where the version before a save is kept: NAME~, the name cut where it would be too long."""
    name = path.name
    while len(os.fsencode(name)) >= LONGEST_FILE_NAME:
        name = name[:-1]
    return path.with_name(f"{name}~")


def _present(path: Path) -> Access | None:
    """The access to a file that can be replaced; None where none is there. Raises OSError where something else is, or it is protected."""
    try:
        found = path.stat()
    except FileNotFoundError:
        return None
    if not stat.S_ISREG(found.st_mode):
        raise OSError(errno.EINVAL, "a folder or a device stands there")
    if not os.access(path, os.W_OK):
        raise PermissionError(errno.EACCES, "the file is protected against writing")
    return access_to(path)


def access_to(file: Path | int) -> Access:
    """The access to a file, by its name or an open handle. Raises OSError."""
    found = os.fstat(file) if isinstance(file, int) else file.stat()
    return Access(found.st_uid, found.st_gid, stat.S_IMODE(found.st_mode), _attributes(file))


def opens_like(handle: int, wanted: Access) -> bool:
    """Give an open file the access `wanted`, as far as the system lets it; whether it has it."""
    try:
        os.fchown(handle, wanted.owner, wanted.group)
    except OSError:  # who may not give files away may still have it in a group of theirs
        with suppress(OSError):
            os.fchown(handle, -1, wanted.group)
    present = _attributes(handle)
    for name in present.keys() - wanted.attributes.keys():
        with suppress(OSError):
            os.removexattr(handle, name)
    for name, value in wanted.attributes.items():
        if present.get(name) != value:
            with suppress(OSError):
                os.setxattr(handle, name, value)
    with suppress(OSError):
        os.fchmod(handle, wanted.mode)
    return access_to(handle) == wanted


def _attributes(file: Path | int) -> dict[str, bytes]:
    """Extended attributes; none where the system has no such thing."""
    try:
        return {name: os.getxattr(file, name) for name in os.listxattr(file)}
    except (OSError, AttributeError):
        return {}


def _content(path: Path) -> bytes:
    handle = opened(path)
    try:
        return read_from(handle, os.fstat(handle).st_size + 1)
    finally:
        close(handle)


def _other_names(path: Path) -> int:
    """How many other names a file has, but for that of the version before."""
    found, kept = path.stat(), previous_name(path)
    with suppress(OSError):
        return found.st_nlink - 1 - os.path.samestat(found, kept.lstat())
    return found.st_nlink - 1


def _keep_previous(path: Path, spare: Path, *, linked: bool) -> None:
    """The version before becomes another name of the present file, or a copy: where that is to be written into, or can have no other name."""
    if not (linked and _linked(path, spare)):
        _copy(path, spare)
    kept = previous_name(path)
    try:
        spare.replace(kept)
    except OSError as error:
        raise OSError(error.errno, f"the previous version cannot be kept as {kept.name}: {reason(error)}") from None


def _linked(path: Path, spare: Path) -> bool:
    try:
        os.link(path, spare)
    except OSError:
        return False
    return True


def _copy(path: Path, spare: Path) -> None:
    handle = new_file(spare)
    try:
        fill(handle, _content(path))
        opens_like(handle, access_to(path))
        times = path.stat()
        with suppress(OSError):
            os.utime(handle, ns=(times.st_atime_ns, times.st_mtime_ns))
    finally:
        close(handle)


def _write_into(path: Path, data: bytes) -> None:
    """Write into the present file; where that fails it gets back what it held."""
    before = _content(path)
    handle = os.open(path, os.O_RDWR | os.O_NOFOLLOW | os.O_CLOEXEC)
    try:
        try:
            fill(handle, data)
        except OSError:
            fill(handle, before)
            raise
    finally:
        close(handle)


def _remove_left_overs(folder: Path) -> None:
    """What saves that were killed left half done: the version before is whole, and what was to be saved is in the journal."""
    with suppress(OSError):
        for found in os.scandir(folder):
            if _LEFT_OVER.fullmatch(found.name) and is_old(found.path):
                remove(Path(found.path))


def is_old(path: str | Path) -> bool:
    """Whether a file was written more than OLD_ENOUGH ago, or as long ahead of the clock."""
    with suppress(OSError):
        return abs(time.time() - os.lstat(path).st_mtime) > OLD_ENOUGH
    return False


def remove(path: Path) -> None:
    """Remove a file where that can be done."""
    with suppress(OSError):
        path.unlink()


def reason(error: Exception) -> str:
    """Why the system refused, in a few words for the middle of a line."""
    told = getattr(error, "strerror", None) or str(error)
    return told[:1].lower() + told[1:]
