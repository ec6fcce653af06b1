"""Names of design files."""

from __future__ import annotations

import re
from pathlib import Path

ENDING = ".toml"


def suggested(design_name: str) -> str:
    """A file name for a design of that name: "Signal-box luthiery" -> "signal_box_luthiery.toml"."""
    words = re.findall(r"\w+", design_name.lower())
    return ("_".join(words)[:60] or "design") + ENDING


def as_path(text: str) -> Path:
    """The file that a typed name means; without an ending it gets that of a design file. Blanks around it count where there is such a file.

    A "~" in it is a letter like any other: what it stands for is the shell's business.
    """
    if text != text.strip() and Path(text).is_file():
        return Path(text)
    path = Path(text.strip())
    return path if path.suffix else path.with_name(path.name + ENDING)


def why_no_file(text: str) -> str | None:
    """Why a design cannot be saved under what was typed, or None."""
    if not text.strip():
        return "a file name is wanted"
    if not text.isprintable():
        return "a file name without control characters is wanted"
    try:
        if Path(text.strip()).is_dir() or as_path(text).is_dir():
            return f"{text.strip()} is a folder; a file name is wanted"
        if not (folder := as_path(text).parent).is_dir():
            return f"there is no folder {folder}"
    except (OSError, ValueError) as error:
        return f"such a name cannot be had: {(getattr(error, 'strerror', None) or str(error)).lower()}"
    return None
