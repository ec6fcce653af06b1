"""How to throttle gate sets, as plain text that fits 80 columns and as JSON in SI base units."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from engine.checks.conditions import conditions_of
from engine.design import Design, system
from engine.report.pen import beside, finding_json, headed, json_text, page, picked, wrapped
from engine.search.throttling import Throttling
from engine.units import show
from engine.units.words import share_text

_NAME = 30


def as_text(design: Design, found: Sequence[Throttling]) -> str:
    """A block for each gate set: the answer, the gates that are drawn in, what every machine gets."""
    blocks: list[Iterable[str]] = [_block(design, one) for one in found]
    return page([headed(design), *(blocks or [["No gate set has several machines at work."]])])


def _block(design: Design, one: Throttling) -> Iterator[str]:
    units = system(design)
    yield from wrapped(one.gate_set)
    yield from wrapped(one.said, "  ")
    for opening in one.openings:
        travel, bore = show(opening.travel, "bore", units), show(opening.bore, "bore", units)
        yield from _row(opening.gate, f"{100 * opening.open:>5.4g} % open: {travel} of {bore}")
    for port, share in one.after.items():
        was = f", {share_text(one.before[port])} with all wide open" if one.openings else ""
        yield from _row(port, f"{share_text(share):>7} of its need{was}")
    for condition in conditions_of(one.added, design):
        yield from wrapped(f"new {condition.severity}: {condition.text}", "  ")


def _row(name: str, told: str) -> Iterator[str]:
    return (f"  {line}" for line in beside(name, _NAME, f" {told}"))


def as_json(design: Design, found: Sequence[Throttling]) -> str:
    """The answers as JSON text: shares of a need and of a gate's way, lengths in m."""
    return json_text(design, gate_sets=[_json(one) for one in found])


def _json(one: Throttling) -> dict[str, Any]:
    return {
        "name": one.gate_set, "met": one.met, "said": one.said,
        "throttle": [picked(row, "gate", "open", "travel", "bore") for row in one.openings],
        "ports": [{"port": port, "before": one.before[port], "after": share} for port, share in one.after.items()],
        "cleared": [finding_json(finding) for finding in one.cleared],
        "added": [finding_json(finding) for finding in one.added],
    }  # fmt: skip
