"""The walk along the test sheet: at which stop it is, what is typed there, and what would be thought of it. Immutable; knows no screen."""

from __future__ import annotations

from dataclasses import field, replace
from datetime import date

from engine.design import READ, Design, Gate, GateSet, Reading, system
from engine.field.sheet import Stop, stops, with_speed
from engine.field.spots import ALL_SHUT
from engine.field.taking import Instrument, latest, reading_at, with_point
from engine.field.verdicts import Verdict, verdicts
from engine.units import UnitError, show
from engine.values import dataclass
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
    It begins at the gates; `before` is the gate set they were set for last.
    `closed` takes it through the leak test instead, `speed` reads the speed
    where suction or flow is read otherwise.
    """

    design: Design
    shown: GateSet
    day: date
    instrument: Instrument = field(default_factory=Instrument)
    at: int = 0
    edit: TextEdit = field(default_factory=lambda: TextEdit("", 0))
    asked: Asked | None = None
    at_gates: bool = False
    before: GateSet | None = None
    closed: bool = False
    speed: bool = False

    @property
    def gate_set(self) -> GateSet:
        """The gate set it goes through."""
        return ALL_SHUT if self.closed else self.shown

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
    def at_asked(self) -> bool:
        """Whether it is at the reading asked for, or at the gates before it."""
        return self.asked is not None and self.asked.gate_set == self.gate_set and self.at == 0

    @property
    def stop(self) -> Stop | None:
        """The stop it is at; None where nothing hangs."""
        found = self.stops
        if not found:
            return None
        stop = found[min(self.at, len(found) - 1)]
        return with_speed(stop) if self.speed and self.takes_speed else stop

    @property
    def takes_speed(self) -> bool:
        """Whether speed can be read at the stop: in a duct, where a hole is or will be."""
        found = self.stops
        return bool(found) and bool(found[min(self.at, len(found) - 1)].point)

    @property
    def measured(self) -> Design:
        """The design with the test point of this stop, be it drilled yet or not."""
        return with_point(self.design, self.stop) if self.stop else self.design

    def moved(self, by: int) -> Walk:
        """At another stop of the gate set, with nothing typed; before the first one at the gates."""
        if self.at_gates:
            return self.begun() if by > 0 else self
        if self.at + by < 0:
            return self.at_its_gates()
        return replace(self, at=min(self.at + by, max(len(self.stops) - 1, 0)), edit=TextEdit("", 0), speed=False)

    def at_its_gates(self) -> Walk:
        """At the gates of its gate set; at its first stop where the ducts have none."""
        return replace(self, at=0, edit=TextEdit("", 0), at_gates=bool(self.stops and _any_gate(self.design)), speed=False)

    def beside(self, asked: Asked | None) -> Walk:
        """The walk where it is, with another reading asked for elsewhere, or none any longer."""
        here, walk = () if self.at_gates else self.stops[self.at : self.at + 1], replace(self, asked=asked)
        places = [(stop.what, stop.place) for stop in walk.stops]
        return replace(walk, at=next((places.index(place) for stop in here if (place := (stop.what, stop.place)) in places), 0))

    def asked_for(self, asked: Asked) -> Walk:
        """The walk with another reading asked for: at it, or at the gates where these stand otherwise now."""
        walk = replace(self, asked=asked, shown=asked.gate_set, closed=False, at=0, edit=TextEdit("", 0), speed=False)
        return walk if asked.gate_set == self.gate_set else walk.at_its_gates()

    def begun(self) -> Walk:
        """At the first stop that was not read on the day, or at what is asked for, the gates being set."""
        if self.at_asked:
            return replace(self, at=0, at_gates=False, before=self.gate_set)
        unread = (at for at, stop in enumerate(self.stops) if not self._read_today(stop))
        return replace(self, at=next(unread, 0), at_gates=False, before=self.gate_set)

    def following(self, design: Design, shown: GateSet, day: date) -> Walk:
        """The walk in a design that has changed, or another gate set: at its gates then."""
        walk = replace(self, design=design, shown=shown, day=day)
        if shown != self.shown and not self.closed:
            return walk.at_its_gates()
        return walk.within()

    def within(self) -> Walk:
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
        return latest(self.measured, self.reading(stop, "0"))

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
        return sum(map(self._read_today, self.stops))

    def _read_today(self, stop: Stop) -> bool:
        earlier = self.earlier(stop)
        return earlier is not None and earlier.date == self.day

    def told(self, value: float, stop: Stop) -> str:
        """A value at a stop, in the units of the design."""
        return show(value, READ[stop.what], system(self.design))


def _any_gate(design: Design) -> bool:
    return any(isinstance(piece, Gate) for run in design.runs for piece in run.pieces)
