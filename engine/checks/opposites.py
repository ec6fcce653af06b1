"""A run that is slow in one gate set and fast in another: what mends the one worsens the other, so both are told what resolves the two."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from engine.checks.rules import Finding, rules

_OPPOSITE = {"slow-run": ("fast-run", "fast"), "fast-run": ("slow-run", "slow")}


def joined(found: Iterable[Finding]) -> list[Finding]:
    """The findings, those that contradict each other with the remedy for both and the gate set of the other.

    A pipe that is slow in one gate set and its narrower hose that is fast in another do not: each has its own mend.
    """
    findings = list(found)
    of_runs: dict[tuple[str, str], list[Finding]] = {}
    for one in findings:
        if one.code in _OPPOSITE and one.gate_set is not None:
            of_runs.setdefault((one.code, one.where), []).append(one)
    return [_beside_its_opposite(one, of_runs) if one.code in _OPPOSITE else one for one in findings]


def _beside_its_opposite(one: Finding, of_runs: Mapping[tuple[str, str], list[Finding]]) -> Finding:
    code, word = _OPPOSITE[one.code]
    others = of_runs.get((code, one.where))
    if others is None:
        return one
    remedies = rules()["slow-run"].remedies
    if any(other.gate_set == one.gate_set for other in others):
        return one._replace(message=f"{one.message}; {word} too, in another bore", remedy=remedies["both bores"])
    if same := next((other for other in others if other.place == one.place), None):
        return one._replace(message=f'{one.message}; {word} in "{same.gate_set}"', remedy=remedies["both sets"])
    return one
