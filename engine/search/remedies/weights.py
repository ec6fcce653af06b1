"""How benefit and work are weighed: judgement, all of it in `catalog/remedies.toml`."""

from __future__ import annotations

from engine.catalog.tables import read


def benefit(name: str) -> float:
    """A weight of what a change does, in cleared faults."""
    return _weight("benefit", name)


def effort(name: str) -> float:
    """A weight of what a change takes."""
    return _weight("effort", name)


def work(name: str) -> float:
    """The work of a kind of change, in fittings exchanged."""
    return _weight("work", name)


def _weight(table: str, name: str) -> float:
    return float(read("remedies")[table][name])
