"""A run that is slow in one gate set and fast in another: what mends the one worsens the other, so both are told what resolves the two."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from engine.checks.rules import Finding, rules

# The other of the two codes, and the word for it.
_OPPOSITE = {"slow-run": ("fast-run", "fast"), "fast-run": ("slow-run", "slow")}


def joined(found: Iterable[Finding]) -> list[Finding]:
    """The findings, those that contradict each other with the remedy for both and the gate set of the other.

    A pipe that is slow in one gate set and its narrower hose that is fast in another do not: each has its own mend.
    """
    findings = list(found)
    told: dict[str, dict[str, list[Finding]]] = {code: {} for code in _OPPOSITE}
    for one in findings:
        if one.code in told:
            told[one.code].setdefault(one.where, []).append(one)
    both = told["slow-run"].keys() & told["fast-run"].keys()
    return [_beside_its_opposite(one, told) if one.where in both and one.code in told else one for one in findings]


def _beside_its_opposite(one: Finding, told: Mapping[str, Mapping[str, Sequence[Finding]]]) -> Finding:
    code, word = _OPPOSITE[one.code]
    others, remedies = told[code][one.where], rules()["slow-run"].remedies
    if one.gate_set in [other.gate_set for other in others]:
        return one._replace(message=f"{one.message}; {word} too, in another bore", remedy=remedies["both bores"])
    if same := next((other for other in others if other.place == one.place), None):
        return one._replace(message=f'{one.message}; {word} in "{same.gate_set}"', remedy=remedies["both sets"])
    return one
