"""The journal: what a session has not saved of a design, in a file beside it that is the session's own.

A session holds its journal locked from opening the design to leaving it, so
that another one on the same design sees that it is not alone. A journal that
nobody holds was left behind by a session that was stopped: it is offered at
the next opening. It is a design file under a few lines of comment, the
comment alone while nothing is unsaved. Where the design's folder cannot be
written to or has lost the journal, or the design has no file yet, the journal
is in the state folder.

None is removed before what it holds is in a file, or its owner lets it go.
The times of files tell the owner which of several is newer; they decide nothing.
"""

from __future__ import annotations

import errno
import os
import platform
import re
import secrets
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from engine.design import Design
from engine.design.mistake import shortened
from engine.files import design_file
from engine.files.safe_files import close, remove, time_of
from engine.files.store_file import complete
from engine.values import dataclass
from tui.keep import locked_files as files
from tui.work.document import Document

_HEADER = "# Kerfdraft: unsaved work, offered when the design is opened again\n# session: {session}\n# last edit: {last_edit}\n"
_LONGEST = 120


@dataclass(frozen=True, slots=True, eq=False)
class LeftBehind:
    """Unsaved work of a session that was stopped: where it is kept, the design, and when and how it was last edited.

    It is number `rank` of `count`, the newest first.
    """

    path: Path
    design: Design
    when: datetime
    last_edit: str
    rank: int = 1
    count: int = 1


@dataclass(frozen=True, slots=True)
class Survey:
    """The journals of a design: what was left behind, newest first, and the sessions at work on it now."""

    left: tuple[LeftBehind, ...] = ()
    sessions: tuple[str, ...] = ()


class Journal:
    """The journal of one session on one document."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.path: Path | None = None
        self._token = secrets.token_hex(4)
        self._session = f"process {os.getpid()} on {platform.node()} since {datetime.now():%d %b %H:%M}"
        self._lock = -1
        self._holds: Design | None = None
        self._text = ""
        self._lost_it: set[Path] = set()
        self._taken: dict[LeftBehind, int] = {}
        self._closed = False

    def keep(self) -> Path | None:
        """Bring the journal up to date, and see that it is there; its path where it holds unsaved work, which was read back.

        Raises OSError when it can be written neither beside the design nor in the state folder, or does not read back as the design.
        """
        if self._closed:
            return None
        if self.path is not None and not self._stands():
            self._lost_it.add(self.path.parent)
            self._let_go()
        document = self.document
        wanted = document.design if document.unsaved else None
        names = self._names()
        if self.path not in names or wanted is not self._holds:
            text = _HEADER.format(session=shortened(self._session, _LONGEST), last_edit=shortened(document.last_edit, _LONGEST))
            self._write(names, text + (design_file.dumps_whole(wanted) if wanted else ""), lasting=wanted is not None)
            self._read_back(wanted)
            self._holds = wanted
        return self.path if wanted is not None else None

    def _names(self) -> tuple[Path, ...]:
        """Where the journal may be, best first: last of all in a folder that lost one already."""
        names = files.names(self.document.real_path, self._token)
        return tuple(sorted(names, key=lambda name: name.parent in self._lost_it))

    def _stands(self) -> bool:
        """Whether the journal is still where it was written, with what was written."""
        with suppress(OSError, ValueError):
            return self.path is not None and files.is_at(self._lock, self.path) and files.text_in(self._lock) == self._text
        return False

    def _write(self, names: tuple[Path, ...], text: str, *, lasting: bool) -> None:
        """Write to the first of the names that can be written to, in place of what the journal was until now."""
        *better, last = names
        for path in better:
            with suppress(OSError):
                self._hold(path, text, lasting=lasting)
                return
        self._hold(last, text, lasting=lasting)

    def _hold(self, path: Path, text: str, *, lasting: bool) -> None:
        if path.parent == files.state_folder():  # the folder of a design is not made anew where it is gone
            path.parent.mkdir(parents=True, exist_ok=True)
        lock = files.replaced(path, text, self.document.real_path, lasting=lasting)
        self._release(unless=path)
        self.path, self._lock, self._text = path, lock, text

    def _read_back(self, wanted: Design | None) -> None:
        """Raises OSError where what was written is not the design."""
        try:
            if wanted is not None and design_file.loads(files.text_in(self._lock)) != complete(wanted):
                raise ValueError
        except (ValueError, design_file.DesignFileError):
            raise OSError(errno.EIO, f"it does not read back from {self.path}") from None

    def take(self, left: LeftBehind) -> None:
        """Take over what was left behind: it stays, unseen by other sessions, until this one has saved or is closed.

        Raises OSError when it is gone or another session took it.
        """
        self._taken[left] = files.hold(left.path)

    def settle(self) -> None:
        """What was taken over last is saved, or let go by its owner: it is left behind no longer, unless it was undone.

        What was taken over before that is in no file: it stays.
        """
        standing = [left for left in self._taken if self.document.came_by(left.design)]
        if standing:
            remove(standing[-1].path)
        self._give_back()

    def close(self) -> None:
        """Remove the journal, for good: nothing is unsaved, or the owner of the work lets it go.

        Work taken over and undone again is neither: it is left behind once more.
        """
        if self.document.unsaved:
            self.settle()
        self._give_back()
        self._release()
        self._closed = True

    def _give_back(self) -> None:
        for handle in self._taken.values():
            close(handle)
        self._taken.clear()

    def _release(self, unless: Path | None = None) -> None:
        if self.path is not None and self.path != unless:
            remove(self.path)
        self._let_go()

    def _let_go(self) -> None:
        if self._lock >= 0:
            close(self._lock)
        self.path, self._lock, self._holds = None, -1, None

    def others(self) -> Survey:
        """The other journals on this design; those without work in them are removed."""
        own = {self.path, *(left.path for left in self._taken)}
        return _survey([path for path in files.journals(self.document.real_path) if path not in own], self.document.on_file)


def _survey(paths: list[Path], on_file: Design | None) -> Survey:
    held = [path for path in paths if files.is_held(path)]
    left = filter(None, (_read(path) for path in paths if path not in held))
    kept: list[LeftBehind] = []
    for found in sorted(left, key=lambda found: found.when, reverse=True):
        if found.design == on_file or any(found.design == newer.design for newer in kept):
            files.remove_if_free(found.path)
        else:
            kept.append(found)
    ranked = tuple(replace(found, rank=rank, count=len(kept)) for rank, found in enumerate(kept, 1))
    sessions = (_header(path).get("session", "another process") for path in held)
    return Survey(ranked, tuple(session for session in sessions if not has_ended(session)))


def has_ended(session: str) -> bool:
    """Whether a session of this machine is no more, though its journal is held: by the one that took over its work, which is named by its own."""
    found = re.fullmatch(r"process (\d{1,9}) on (.*) since .*", session)
    if found is None or found[2] != platform.node():
        return False
    try:
        os.kill(int(found[1]), 0)
    except ProcessLookupError:
        return True
    except OSError:  # somebody else's
        return False
    return False


def _read(path: Path) -> LeftBehind | None:
    """What a journal holds; None when it cannot be read, and without work in it: then it is removed."""
    try:
        text = files.own_text(path)
        if all(line.startswith("#") or not line.strip() for line in text.splitlines()):
            files.remove_if_free(path)
            return None
        when = time_of(path.lstat().st_mtime)
        return LeftBehind(path, design_file.loads(text, path.parent), when, _header_in(text).get("last edit", ""))
    except (OSError, ValueError, design_file.DesignFileError):
        return None


def _header(path: Path) -> dict[str, str]:
    """What the lines of comment above the design in a file say; nothing where it cannot be read."""
    try:
        return _header_in(files.own_text(path))
    except (OSError, ValueError):
        return {}


def _header_in(text: str) -> dict[str, str]:
    lines = text.split("\n", _HEADER.count("\n"))[: _HEADER.count("\n")]
    pairs = (line.removeprefix("# ").strip().partition(": ") for line in lines if line.startswith("# "))
    return {key: shortened(value, _LONGEST) for key, _, value in pairs}


def delete(left: LeftBehind) -> None:
    """Remove what was left behind, for good. Raises OSError, also where another session took it."""
    handle = files.hold(left.path)
    try:
        left.path.unlink()
    finally:
        close(handle)
