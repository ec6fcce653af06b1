"""What a finding rests on: its limits, their source and what to do, from `catalog/findings.toml`."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal

from engine import units

Severity = Literal["fault", "caution", "note"]
SEVERITIES: tuple[Severity, ...] = ("fault", "caution", "note")


@dataclass(frozen=True, slots=True)
class Rule:
    """One finding's ground: `limits` are numbers in SI by name."""

    code: str
    limits: Mapping[str, float]
    remedy: str
    source: str


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a check reports.

    `where` is a run id, "machine/port", "collector" or the name of a stock
    size; `piece` the index of a piece in that run; `gate_set` the set it
    happens in, None where it always holds. `message` is in the design's units.
    """

    code: str
    severity: Severity
    where: str
    message: str
    remedy: str
    source: str
    gate_set: str | None = None
    piece: int | None = None


@cache
def rules() -> Mapping[str, Rule]:
    """Every rule by its code."""
    raw = tomllib.loads(files("engine.catalog").joinpath("findings.toml").read_text("utf-8"))
    return {code: Rule(code, _limits(row.get("limits", {})), row["remedy"], row["source"]) for code, row in raw.items()}


def _limits(row: Mapping[str, dict]) -> dict[str, float]:
    return {name: units.parse(value["is"], value["of"]).si if isinstance(value, dict) else float(value) for name, value in row.items()}


def finding(code: str, severity: Severity, where: str, message: str, *, source: str | None = None, **rest) -> Finding:
    """A finding with its rule's remedy and source; `source` replaces the rule's."""
    rule = rules()[code]
    return Finding(code, severity, where, message, rule.remedy, source or rule.source, **rest)


def limit(code: str, name: str) -> float:
    """A limit of a rule, SI."""
    return rules()[code].limits[name]
