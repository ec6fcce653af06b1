"""What is wrong with a design, or with a file of one, in one line."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from engine.design import Design
from engine.design.mistake import MOST_MISTAKES, Mistake
from engine.design.mistake_words import in_words
from engine.design.rules.consistency import mistakes
from engine.files import design_file


def why_unread(path: Path, found: Sequence[Mistake]) -> str:
    """What is wrong with a file: how much, where all of it can be read, and the first of it."""
    if len(found) == 1:
        return f"{path}: {found[0]}"
    count = f"more than {MOST_MISTAKES}" if len(found) > MOST_MISTAKES else str(len(found))
    return f"{path}: {count} mistakes (kerfdraft check {path} lists them); the first: {found[0]}"


def why_invalid(design: Design) -> str | None:
    """The first thing that is wrong with a design, or with a file of it; None when nothing is."""
    found = next(iter(mistakes(design)), None) or design_file.too_large(design)
    return in_words(design, found) if found else None
