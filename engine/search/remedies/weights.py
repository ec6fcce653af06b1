"""How much work a kind of change is: judgement, all of it in `catalog/data/remedies.toml`."""

from __future__ import annotations

from engine.catalog.tables import read


def work(name: str) -> float:
    """The work of a kind of change, in fittings exchanged."""
    return float(read("remedies")["work"][name])
