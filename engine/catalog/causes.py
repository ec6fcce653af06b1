"""What goes wrong with ducts, how often, and how to make sure: the rows of `causes.toml`."""

from __future__ import annotations

from functools import cache

from engine.catalog.tables import read
from engine.values import dataclass


@dataclass(frozen=True, slots=True)
class CauseKind:
    """A kind of cause. `often` is its share beside the others and beside nothing wrong; `look` says how to make sure in so many `minutes`."""

    id: str
    title: str
    often: float
    look: str
    minutes: float
    cautions: tuple[str, ...]
    source: str
    provenance: str


@cache
def cause_kinds() -> dict[str, CauseKind]:
    """Every kind by its id."""
    return {row["id"]: CauseKind(**row | {"cautions": tuple(row["cautions"])}) for row in read("causes")["cause"]}


@cache
def nothing_wrong() -> float:
    """How often nothing is wrong, beside `often` of the kinds."""
    share: float = read("causes")["nothing"]["often"]
    return share
