"""The findings and their limits, from `findings.toml`."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from engine.catalog.limits import Limit
from engine.catalog.tables import read
from engine.units import parse, parse_number
from engine.values import dataclass


@dataclass(frozen=True, slots=True)
class FindingLimit(Limit):
    """A limit of a finding; `dimension` is "" where it is a bare number."""

    dimension: str

    def read(self, text: str) -> float:
        """The value of another limit in its place, SI. Raises UnitError where the text is none."""
        return parse(text, self.dimension).si if self.dimension else parse_number(text)


@cache
def finding_limits() -> Mapping[str, Mapping[str, FindingLimit]]:
    """The limits of every finding by its code and their names."""
    return {code: _limits(row) for code, row in read("findings").items()}


def _limits(row: Mapping[str, Any]) -> dict[str, FindingLimit]:
    return {name: _limit(held if isinstance(held, dict) else {"is": held}, row.get("source", "")) for name, held in row.get("limits", {}).items()}


def _limit(held: Mapping[str, Any], source: str) -> FindingLimit:
    dimension = held.get("of", "")
    return FindingLimit(parse(held["is"], dimension).si if dimension else float(held["is"]), held.get("source", source), dimension)
