"""Unfinished interviews, each in a file of the state folder, locked while a session is at it."""

from __future__ import annotations

import errno
import secrets
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from engine.files.safe_files import close, is_old, remove, time_of
from engine.files.store_file import without_shelf
from engine.survey.answers import Answers, untouched
from engine.survey.kept import dumps, loads
from engine.values import dataclass
from tui.keep import locked_files

_STEM, _ENDING = "interview-", ".toml"


@dataclass(frozen=True, slots=True)
class Unfinished:
    """Answers kept for later: where, and when they were last changed."""

    path: Path
    answers: Answers
    when: datetime


class InterviewFile:
    """The file of one interview. It is written with the first answer and held until `leave`: one interview, one session."""

    def __init__(self, path: Path | None = None) -> None:
        """`path`: of one to go on with. Raises OSError where another session has it, and with ENOLCK where that cannot be seen."""
        self.path = path or locked_files.state_folder() / f"{_STEM}{secrets.token_hex(4)}{_ENDING}"
        self._lock = -1 if path is None else locked_files.hold_alone(path)

    def keep(self, answers: Answers) -> None:
        """Write the answers, or remove the file where there are none. Raises OSError where they cannot be written, or would not read back."""
        if untouched(answers):
            self.drop()
            return
        text = dumps(answers)
        again = loads(text)
        if again is None or without_shelf(again.shop) != without_shelf(answers.shop):
            raise OSError(errno.EINVAL, "a file would not give them back")
        self.path.parent.mkdir(parents=True, exist_ok=True)
        lock = locked_files.replaced(self.path, text, None, lasting=True)
        self.leave()
        self._lock = lock

    def drop(self) -> None:
        """Remove the file, unless another session has it by now."""
        if self.holds:
            remove(self.path)
        else:
            locked_files.remove_if_free(self.path)
        self.leave()

    @property
    def holds(self) -> bool:
        """Whether there are answers in it."""
        return self._lock >= 0

    def leave(self) -> None:
        """Let another session go on with it."""
        if self._lock >= 0:
            close(self._lock)
            self._lock = -1


def unfinished() -> list[Unfinished]:
    """The interviews that nobody is at and that can be read, the latest first; what was left of writing one is removed."""
    folder = locked_files.state_folder()
    found: list[Unfinished] = []
    with suppress(OSError):
        for half in folder.glob(f"{_STEM}*{_ENDING}{locked_files.HALF}"):
            if is_old(half):
                locked_files.remove_if_free(half)
        paths = folder.glob(f"{_STEM}*{_ENDING}")
        found.extend(read for path in paths if not locked_files.is_held(path) and (read := _read(path)) is not None)
    return sorted(found, key=lambda kept: kept.when, reverse=True)


def _read(path: Path) -> Unfinished | None:
    try:
        answers = loads(locked_files.own_text(path))
        return Unfinished(path, answers, time_of(path.lstat().st_mtime)) if answers else None
    except (OSError, ValueError):
        return None
