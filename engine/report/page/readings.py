"""What there is to read in each gate set, with what a gauge should show: the test sheet as data, for all sheets that tell of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from engine.design import Design, GateSet, Reading
from engine.field.expected import Foreseen, expected
from engine.field.sheet import Stop, stops
from engine.field.spots import Unforeseen
from engine.units import make
from engine.values import dataclass

_ALSO_SPEED = ("suction", "flow")


@dataclass(frozen=True, slots=True)
class ToRead:
    """A reading to take at a stop, and what it should be; `run` is the one it is taken in, "" at a port or the collector."""

    stop: Stop
    reading: Reading
    run: str
    found: Foreseen | Unforeseen


def readings_of(design: Design, sets: Sequence[GateSet]) -> tuple[tuple[ToRead, ...], ...]:
    """The readings of each gate set, in the order of the ladder."""
    taps = {point.id: point.at for point in design.test_points}
    asked = [[(stop, reading) for stop in stops(design, each) for reading in _readings(each, stop)] for each in sets]
    found = iter(expected(design, [reading for each in asked for _, reading in each]))
    return tuple(tuple(ToRead(stop, reading, _run(stop, taps), next(found)) for stop, reading in each) for each in asked)


def _run(stop: Stop, taps: dict[str, str]) -> str:
    return stop.drill.run if stop.drill else taps.get(stop.point, "")


def _readings(gate_set: GateSet, stop: Stop) -> Iterator[Reading]:
    """The readings to take at a stop: where suction or flow is read in a duct, its speed too."""
    at: Reading = Reading(what=stop.what, value="0 Pa", gate_set=gate_set.name)
    if stop.drill:
        at = replace(at, at=stop.drill.run, from_collector=make(stop.drill.distance, "length", "metric"))
    elif stop.point:
        at = replace(at, test_point=stop.point)
    else:
        at = replace(at, at=stop.at or None, port=stop.port or None)
    yield at
    if stop.what in _ALSO_SPEED and not stop.port:
        yield replace(at, what="speed")
