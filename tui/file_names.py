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
    """The file that a typed name means; without an ending it gets that of a design file."""
    path = Path(text.strip()).expanduser()
    return path if path.suffix else path.with_name(path.name + ENDING)
