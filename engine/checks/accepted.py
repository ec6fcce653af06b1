"""Findings that the owner accepts, and records that point at nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from engine.checks.look import Look
from engine.checks.rules import Finding, finding
from engine.design import Design
from engine.design.entries import entries
from engine.design.mistake import quoted
from engine.design.model import ANY_PLACE
from engine.design.names import places_by_name
from engine.design.places import ACCEPTED, DESIGN, READINGS, TEST_POINTS, Rows, at, whole


def with_accepted(design: Design, found: Iterable[Finding]) -> list[Finding]:
    """The findings, those accepted with the reason: in `accepted`, and at the end of what is told."""
    if not design.accepted:
        return list(found)
    places = places_by_name(design)
    reasons = {(one.finding, places[one.at]): one.reason for one in design.accepted if one.at in places}

    def told(one: Finding) -> Finding:
        reason = next((reasons[one.code, place] for place in (one.place, whole(one.place)) if (one.code, place) in reasons), None)
        return one if reason is None else one._replace(accepted=reason, message=f"{one.message}; accepted: {reason}")

    return [told(one) for one in found]


def lost_record(look: Look) -> Iterator[Finding]:
    """A record that points at what the design no longer has."""
    design = look.design
    if not (design.accepted or design.test_points or design.readings):
        return
    known = {
        ANY_PLACE: places_by_name(design).keys(),
        "collector or run": {"collector", *look.runs},
        "port": look.ports_at.keys(),
        "gate set": {gate_set.name for gate_set in design.gate_sets},
        "test point": {point.id for point in design.test_points},
    }
    for rows, what in ((ACCEPTED, "an accepted finding"), (TEST_POINTS, "a test point"), (READINGS, "a reading")):
        if lost := sorted(set(_lost(design, rows, known))):
            yield finding(look, "lost-record", "note", DESIGN, f"{what} is of {', '.join(map(quoted, lost))}, which the design has not")


def _lost(design: Design, rows: Rows, known: Mapping[str, Iterable[str]]) -> Iterator[str]:
    """The names that rows of records point at in vain."""
    for record in at(design, rows):
        for field, entry in entries(type(record)).items():
            name = getattr(record, field)
            if entry.lasting and name is not None and name not in known[entry.refers_to]:
                yield name


RECORD_CHECKS = (lost_record,)
