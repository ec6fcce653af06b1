"""What a shop does to keep its ducts right: the duties of `upkeep.toml`."""

from __future__ import annotations

from functools import cache

from engine.catalog.tables import read
from engine.values import dataclass


@dataclass(frozen=True, slots=True)
class Duty:
    """Something to be done every so many `days`, 0 for every session; a log entry that begins with its `id` says that it was.

    So do readings of all that it `reads`.
    """

    id: str
    title: str
    text: str
    days: int
    source: str
    provenance: str
    reads: tuple[str, ...] = ()


@cache
def duties() -> tuple[Duty, ...]:
    """Every duty, the most frequent first."""
    return tuple(Duty(**row | {"reads": tuple(row.get("reads", ()))}) for row in read("upkeep")["duty"])
