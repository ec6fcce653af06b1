"""The way through the job: how far each part of it has come, and which is the next useful one."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Literal

from engine.checks.assess import Assessment
from engine.design import Design, gate_sets_of
from engine.design.meaning import works_on
from engine.design.model.pieces import STATES
from engine.field.sheet import stops
from engine.field.taking import latest, like
from engine.field.upkeep import calendar
from engine.units.words import counted, listed
from engine.values import dataclass

Station = Literal["room", "ducts", "faults", "sets", "gates", "collector", "bought", "hung", "read", "upkeep"]
# What is useful next, the first that is not done.
ORDER: tuple[Station, ...] = ("ducts", "faults", "bought", "hung", "read", "upkeep")
_MOST_NAMED = 2


@dataclass(frozen=True, slots=True)
class Stand:
    """Where a part of the job stands, in a few words, and whether it is done."""

    told: str
    done: bool = True


def stands(assessment: Assessment, today: date) -> Mapping[Station, Stand]:
    """Where every part of the job stands on a day."""
    design = assessment.design
    faults, failing = assessment.count("fault"), sum(not assessment.passes(result) for result in assessment.sets)
    corners, curve = len(design.site.room), len(design.collector.curve)
    throttled = sum(bool(gate_set.throttle) for gate_set in design.gate_sets)
    due = [one.duty.title for one in calendar(design) if one.is_due(today)]
    return {
        "room": Stand(f"room of {counted(corners, 'corner')}" if corners else "no walls drawn", bool(corners)),
        "ducts": Stand(f"{counted(len(design.machines), 'machine')}, {counted(len(design.runs), 'run', none='no')}", bool(design.runs)),
        "faults": Stand(f"{counted(faults, 'fault', none='no')}, {counted(assessment.count('caution'), 'caution', none='no')}", not faults),
        "sets": Stand(f"{failing} of {counted(len(assessment.sets), 'gate set')} fail" if failing else "every gate set passes", not failing),
        "gates": Stand(f"gates part open in {counted(throttled, 'gate set')}" if throttled else "all gates wide open"),
        "collector": Stand(f"curve of {counted(curve, 'point')}" if curve else "no curve: free air only", bool(curve)),
        "bought": _runs(design, "bought"),
        "hung": _runs(design, "hung"),
        "read": _read(design),
        "upkeep": Stand(f"{listed(due, _MOST_NAMED)} due" if due else "nothing due", not due),
    }


def next_of(found: Mapping[Station, Stand]) -> Station | None:
    """The next useful part of the job; None where all is done."""
    return next((station for station in ORDER if not found[station].done), None)


def _runs(design: Design, state: str) -> Stand:
    """How many runs have come as far as a state of the work."""
    done = sum(min(map(STATES.index, works_on(run))) >= STATES.index(state) for run in design.runs)
    return Stand(f"{done} of {counted(len(design.runs), 'run')} {state}", done == len(design.runs))


def _read(design: Design) -> Stand:
    """How many of the readings that the test sheets ask for were taken."""
    asked = [(gate_set, stop) for gate_set in gate_sets_of(design) for stop in stops(design, gate_set)]
    taken = sum(latest(design, like(gate_set, stop)) is not None for gate_set, stop in asked)
    return Stand(f"{taken} of {len(asked)} read" if asked else "nothing to read before runs hang", taken == len(asked))
