"""A run that is slow in one gate set and fast in another: what mends the one worsens the other, so both are told what resolves the two."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from engine.checks.rules import Finding, rules
from engine.design.places import whole

_OPPOSITE = {"slow-run": ("fast-run", "fast"), "fast-run": ("slow-run", "slow")}


def joined(found: Iterable[Finding]) -> list[Finding]:
    """The findings, those that contradict each other with the remedy for both and the gate set of the other."""
    findings = list(found)
    sets: dict[tuple[str, object], list[str]] = {}
    for one in findings:
        if one.code in _OPPOSITE and one.gate_set is not None:
            sets.setdefault((one.code, whole(one.place)), []).append(one.gate_set)
    return [_beside_its_opposite(one, sets) for one in findings]


def _beside_its_opposite(one: Finding, sets: dict[tuple[str, object], list[str]]) -> Finding:
    code, word = _OPPOSITE.get(one.code, ("", ""))
    others = sets.get((code, whole(one.place)), []) if code else []
    if not others:
        return one
    remedies = rules()["slow-run"].remedies
    if one.gate_set in others:
        return replace(one, message=f"{one.message}; {word} too, in another bore", remedy=remedies["both bores"])
    return replace(one, message=f'{one.message}; {word} in "{others[0]}"', remedy=remedies["both sets"])
