"""Reads the catalog's TOML files, each once."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

PROVENANCES = (
    "read in the source",
    "read at second hand",
    "from memory",
    "computed",
    "common practice, no source",
)


@cache
def read(name: str) -> dict[str, Any]:
    """The contents of `name`.toml of this folder; treat them as read-only.

    Every table in it has `source` and `provenance`, one of the PROVENANCES.
    """
    return tomllib.loads((Path(__file__).parent / "data" / f"{name}.toml").read_text("utf-8"))
