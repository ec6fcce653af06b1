"""Unfinished interviews, each in a file of the state folder, locked while a session is at it."""

from __future__ import annotations

import os
import secrets
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from engine.files.design_file import MOST_BYTES
from engine.files.safe_files import remove
from tui.keep import locked_files
from tui.pages.interview import questions
from tui.pages.interview.questions import Answers

_STEM, _ENDING = "interview-", ".toml"


@dataclass(frozen=True, slots=True)
class Unfinished:
    """Answers kept for later: where, and when they were last changed."""

    path: Path
    answers: Answers
    when: datetime


class InterviewFile:
    """The file of one interview. It is written with the first answer and held until `leave`."""

    def __init__(self, path: Path | None = None) -> None:
        self.path = path or locked_files.state_folder() / f"{_STEM}{secrets.token_hex(4)}{_ENDING}"
        self._lock = -1
        if path is not None:
            with suppress(OSError):
                self._lock = locked_files.hold(path)

    def keep(self, answers: Answers) -> None:
        """Write the answers, or remove the file where there are none. Raises OSError where they cannot be written."""
        if questions.untouched(answers):
            self.drop()
            return
        self.path.parent.mkdir(parents=True, exist_ok=True)
        lock = locked_files.replaced(self.path, questions.dumps(answers), None, lasting=True)
        self.leave()
        self._lock = lock

    def drop(self) -> None:
        """Remove the file."""
        remove(self.path)
        self.leave()

    @property
    def holds(self) -> bool:
        """Whether there are answers in it."""
        return self._lock >= 0

    def leave(self) -> None:
        """Let another session go on with it."""
        if self._lock >= 0:
            os.close(self._lock)
            self._lock = -1


def unfinished() -> list[Unfinished]:
    """The interviews that nobody is at and that can be read, the latest first."""
    found: list[Unfinished] = []
    with suppress(OSError):
        paths = locked_files.state_folder().glob(f"{_STEM}*{_ENDING}")
        found.extend(read for path in paths if not locked_files.is_held(path) and (read := _read(path)) is not None)
    return sorted(found, key=lambda kept: kept.when, reverse=True)


def _read(path: Path) -> Unfinished | None:
    try:
        if not path.is_file() or path.stat().st_size > MOST_BYTES:
            return None
        answers = questions.loads(path.read_text(encoding="utf-8"))
        return Unfinished(path, answers, datetime.fromtimestamp(path.stat().st_mtime)) if answers else None
    except (OSError, ValueError):
        return None
