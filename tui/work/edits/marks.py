"""The mark of each standing of a finding, the same wherever one is shown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from engine.air.gate_sets import SetResult
from engine.checks import Finding
from engine.checks.assess import Assessment
from engine.design.places import Place

# By severity, for what its owner accepted, and for none.
MARKS: Mapping[str, str] = {"fault": "!", "caution": "*", "accepted": "a", "note": "-", "ok": "ok"}
_BLEMISHES = ("fault", "caution", "accepted")


def verdict(worst: str) -> str:
    """ "fault", "caution", "accepted" or "ok", from the worst standing there is: a note is no blemish."""
    return worst if worst in _BLEMISHES else "ok"


def verdict_of(assessment: Assessment, result: SetResult) -> str:
    """The verdict on a gate set; a fault where there is no answer."""
    return "fault" if result.balance is None else verdict(assessment.worst(result))


def worst_by_place(findings: Iterable[Finding], gate_set: str) -> Iterator[tuple[Place, str]]:
    """Place and standing of the faults and cautions in a gate set: faults first, and what is accepted last."""
    found = [one for one in findings if one.gate_set in (None, gate_set) and one.severity != "note"]
    told = [(one.place, one.severity if one.accepted is None else "accepted") for one in found]
    return iter(sorted(told, key=lambda pair: _BLEMISHES.index(pair[1])))
