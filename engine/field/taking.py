"""Readings put into a design: what was read at a stop of the test sheet, and which readings are its baseline."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from engine.design import READ, Design, GateSet, Reading, defaults, system
from engine.field.built import mark_of
from engine.field.sheet import Stop, point_of
from engine.field.verdicts import impossible, same_place
from engine.units import make
from engine.units.arithmetic import calculate


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


def with_point(design: Design, stop: Stop) -> Design:
    """A design with the test point of a stop that has to be drilled, unless it was meanwhile."""
    point = point_of(stop, system(design))
    if point is None or any(own.id == point.id for own in design.test_points):
        return design
    return replace(design, test_points=(*design.test_points, point))


def with_reading(design: Design, reading: Reading) -> Design:
    """A design with a reading more; it takes the place of one of the same day and place."""
    others = tuple(one for one in design.readings if one.date != reading.date or not same_place(one, reading))
    return replace(design, readings=(*others, reading))


def latest(design: Design, like: Reading) -> Reading | None:
    """The last reading of the same place and gate set as another one."""
    alike = [one for one in design.readings if same_place(one, like)]
    return max(alike, key=lambda one: one.date or date.min, default=None)


def with_baseline(design: Design, day: date) -> Design:
    """A design whose readings of a day are its baseline in their places, in place of earlier ones; what cannot be is none."""
    fresh = [one for one in design.readings if one.date == day and not impossible(design, one)]

    def marked(reading: Reading) -> Reading:
        if any(reading is one for one in fresh):
            return replace(reading, baseline=True)
        return replace(reading, baseline=None) if reading.baseline and any(same_place(reading, one) for one in fresh) else reading

    return replace(design, readings=tuple(map(marked, design.readings)))
