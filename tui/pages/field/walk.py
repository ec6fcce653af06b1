"""The walk along the test sheet: at which stop it is, what is typed there, and what would be thought of it. Immutable; knows no screen."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date

from engine.design import READ, Design, GateSet, Reading, system
from engine.field.sheet import Stop, stops
from engine.field.taking import Instrument, latest, reading_at, with_point
from engine.field.verdicts import Verdict, verdicts
from engine.units import UnitError, show
from tui.draw.text_edit import TextEdit


@dataclass(frozen=True, slots=True)
class Asked:
    """The reading that tells most of what is wrong: its gate set, its stop, and what it would tell."""

    gate_set: GateSet
    stop: Stop
    why: str


@dataclass(frozen=True, slots=True)
class Walk:
    """A walk through one gate set of a design; `edit` is what is typed at the stop, empty where nothing is.

    What is `asked` for comes first in its gate set, then the rest of the test sheet.
    """

    design: Design
    gate_set: GateSet
    day: date
    at: int = 0
    edit: TextEdit = field(default_factory=lambda: TextEdit("", 0))
    instrument: Instrument = field(default_factory=Instrument)
    asked: Asked | None = None

    @property
    def stops(self) -> tuple[Stop, ...]:
        """The stops of the gate set."""
        sheet = stops(self.design, self.gate_set)
        if self.asked is None or self.asked.gate_set != self.gate_set:
            return sheet
        first = self.asked.stop
        return (first, *(stop for stop in sheet if (stop.what, stop.place) != (first.what, first.place)))

    @property
    def why(self) -> str:
        """What the reading at this stop would tell, where it is the one asked for."""
        return self.asked.why if self.asked and self.stop == self.asked.stop and self.asked.gate_set == self.gate_set else ""

    @property
    def stop(self) -> Stop | None:
        """The stop it is at; None where nothing hangs."""
        found = self.stops
        return found[min(self.at, len(found) - 1)] if found else None

    @property
    def measured(self) -> Design:
        """The design with the test point of this stop, be it drilled yet or not."""
        return with_point(self.design, self.stop) if self.stop else self.design

    def moved(self, by: int) -> Walk:
        """At another stop of the gate set, with nothing typed."""
        return replace(self, at=min(max(self.at + by, 0), max(len(self.stops) - 1, 0)), edit=TextEdit("", 0))

    def kept_within(self) -> Walk:
        """At a stop that there is, with what is typed left as it is."""
        return replace(self, at=min(self.at, max(len(self.stops) - 1, 0)))

    @property
    def last(self) -> bool:
        """Whether no stop follows in this gate set."""
        return self.at >= len(self.stops) - 1

    def reading(self, stop: Stop, text: str) -> Reading:
        """What is typed at a stop, as a reading. Raises UnitError."""
        return reading_at(self.measured, self.gate_set, stop, text, self.day, self.instrument)

    def foreseen(self, stop: Stop) -> Verdict:
        """What is expected at a stop, by a reading of nothing."""
        return verdicts(self.measured, [self.reading(stop, "0")])[0]

    def earlier(self, stop: Stop) -> Reading | None:
        """The last reading taken at a stop."""
        return latest(self.design, self.reading(stop, "0"))

    def verdict(self, stop: Stop) -> Verdict | str | None:
        """What is thought of what is typed, or was read last; why what is typed is no value; None where there is neither."""
        if self.edit.text.strip():
            try:
                return verdicts(self.measured, [self.reading(stop, self.edit.text)])[0]
            except UnitError as reason:
                return str(reason)
        earlier = self.earlier(stop)
        return verdicts(self.measured, [earlier])[0] if earlier else None

    def taken_so_far(self) -> int:
        """At how many stops of the gate set there is a reading of the day."""
        return sum(earlier is not None and earlier.date == self.day for earlier in map(self.earlier, self.stops))

    def told(self, value: float, stop: Stop) -> str:
        """A value at a stop, in the units of the design."""
        return show(value, READ[stop.what], system(self.design))
