"""A limit and where it comes from."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit in SI units or as a bare number; `source` is what a finding that applies it cites."""

    value: float
    source: str
