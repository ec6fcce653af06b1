"""Sessions as far as their journals go."""

from __future__ import annotations

import os
from pathlib import Path

from tests.shops.one_drop import design, set_length
from tui.keep.journal import Journal, LeftBehind
from tui.work.document import Document


def session(path: Path | None, length: str = "") -> Journal:
    """A session that opened the design and, with `length`, edited it."""
    one = Journal(Document.open(path) if path else Document(design()))
    one.keep()
    if length:
        set_length(one.document, length)
        one.keep()
    return one


def killed(one: Journal) -> Path:
    """What a kill does to a session: its locks are gone, its files stay."""
    one._give_back()
    os.close(one._lock)
    one._lock = -1
    return one.path


def left(path: Path | None) -> tuple[LeftBehind, ...]:
    """What the next session finds."""
    return session(path).others().left


def hidden(folder: Path) -> list[str]:
    """Names of the hidden files of a folder."""
    return sorted(path.name for path in folder.glob(".*"))
