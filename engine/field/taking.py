"""Readings put into a design: what was read at a stop of the test sheet, and which readings are its baseline."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from engine.design import READ, Design, GateSet, Reading, defaults, system
from engine.field.built import mark_of
from engine.field.sheet import Stop, point_of
from engine.field.verdicts import AS_EXPECTED, Verdict, same_place, verdicts
from engine.units import make
from engine.units.arithmetic import calculate
from engine.values import dataclass


@dataclass(frozen=True, slots=True)
class Instrument:
    """What is measured with, and how far it may be off in each dimension, as text with a unit; nothing where that is not said."""

    name: str | None = None
    give_or_take: tuple[tuple[str, str], ...] = ()


def reading_at(design: Design, gate_set: GateSet, stop: Stop, text: str, day: date, instrument: Instrument = Instrument()) -> Reading:
    """A reading of a day at a stop, as typed; a number without a unit is in the design's. Raises UnitError."""
    value = calculate(text, READ[stop.what], system(design))
    return Reading(
        date=day, gate_set=gate_set.name, filter=design.collector.filter or defaults.FILTER, what=stop.what,
        at=stop.at or None, port=stop.port or None, test_point=stop.point or None, value=value.text,
        from_collector=None if stop.distance is None else make(stop.distance, "length", system(design)),
        give_or_take=dict(instrument.give_or_take).get(READ[stop.what]), instrument=instrument.name, ducts=mark_of(design, gate_set),
    )  # fmt: skip


def like(gate_set: GateSet, stop: Stop) -> Reading:
    """A reading at a stop, for its place."""
    return Reading(what=stop.what, value="0", gate_set=gate_set.name, at=stop.at or None, port=stop.port or None, test_point=stop.point or None)


def with_point(design: Design, stop: Stop) -> Design:
    """A design with the test point of a stop that has to be drilled, unless it was meanwhile."""
    point = point_of(stop, system(design))
    if point is None or any(own.id == point.id for own in design.test_points):
        return design
    return replace(design, test_points=(*design.test_points, point))


def with_reading(design: Design, reading: Reading) -> Design:
    """A design with a reading more; one of the same day and place stays before it, as history."""
    return replace(design, readings=(*design.readings, reading))


def latest(design: Design, reading: Reading) -> Reading | None:
    """The last reading of the same place and gate set as another one."""
    alike = [one for one in reversed(design.readings) if same_place(design, one, reading)]
    return max(alike, key=lambda one: one.date or date.min, default=None)


@dataclass(frozen=True, slots=True)
class Candidates:
    """What was read on a day, the last of each place: `fit` to be a baseline, `doubtful`, and what cannot be one: stale or impossible."""

    fit: tuple[Reading, ...]
    doubtful: tuple[Verdict, ...]
    unfit: tuple[Verdict, ...]


def candidates(design: Design, day: date) -> Candidates:
    """The readings of a day that could become the baseline of a design; fit is what is as expected."""
    found = verdicts(design, [one for one in design.readings if one.date == day])
    last = [one for one in found if not one.repeated]
    can = [one for one in last if not one.stale and not one.doubt]
    return Candidates(
        tuple(one.reading for one in can if one.verdict == AS_EXPECTED),
        tuple(one for one in can if one.verdict != AS_EXPECTED),
        tuple(one for one in last if one.stale or one.doubt),
    )


def with_baseline(design: Design, chosen: Sequence[Reading]) -> Design:
    """A design whose readings `chosen` are its baseline in their places, in place of earlier ones."""

    def marked(reading: Reading) -> Reading:
        if any(reading is one for one in chosen):
            return replace(reading, baseline=True)
        return replace(reading, baseline=None) if reading.baseline and any(same_place(design, reading, one) for one in chosen) else reading

    return replace(design, readings=tuple(map(marked, design.readings)))
