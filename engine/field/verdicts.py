"""Readings beside what they should be: as expected, worth a look, or wrong, with the reason."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from engine.air.fan import fan_of
from engine.air.one.ducts import area
from engine.air.properties import air_of
from engine.design import READ, Design, Reading, system
from engine.design.rules.record import reading_value
from engine.field.built import mark_of
from engine.field.expected import Expected, Foreseen, expected
from engine.field.spots import ALL_SHUT, Unforeseen, filter_of, gate_set_of, place_text, same_spot, spot_of
from engine.units import UnitError, parse, show
from engine.values import dataclass

AS_EXPECTED, LOOK, WRONG = "as expected", "look", "wrong"
VERDICTS = (AS_EXPECTED, LOOK, WRONG)
# A reading that does not say how far it may be off: the field's tolerance (UFGS 15951N), as nine times in ten; of a speed or a flow read with a
# vane more: common practice, no source.
_TOLERANCE, _COARSE = 0.10, 0.15
# What no gauge of a workshop tells from nothing, SI: judgement.
LEAST = {"pressure": 2.0, "speed": 0.3, "flow": 0.003}
# From one standard deviation to what holds nine times in ten.
NINE_IN_TEN = 1.645
# Against a baseline: more than 10 % off is worth a look, more than 20 % a fault (common practice, no source).
_AGAINST_BASELINE = 0.10
# So many times as far off as expected is wrong: judgement.
_WRONG = 2.0
# Air may flow so many times as fast as at the end of the collector's curve before a reading of it is asked about: judgement.
_BEYOND_ITS_SHEET = 1.2
_BEYOND = "more than the collector can give"


@dataclass(frozen=True, slots=True)
class Verdict:
    """A reading and what is to be thought of it; figures SI.

    `expected` is what it should show, None where nothing can be foreseen,
    and `low` and `high` between what it is as it should be, its own doubt
    included. `by` says whether the "design" or the "baseline" tells that,
    `predicted` what the design alone foresees. `stale` says that the ducts
    have changed since, the verdict being by those of now; `doubt` why the
    reading itself cannot be; `repeated` that the same was read again later that day: the
    reading is history then.
    """

    reading: Reading
    value: float
    expected: float | None
    low: float | None
    high: float | None
    predicted: float | None
    verdict: str
    reason: str
    by: str
    stale: bool
    doubt: str | None
    repeated: bool = False

    @property
    def is_wrong(self) -> bool:
        """Whether something is wrong now: a reading of the ducts as they are, the last of its day, says so."""
        return self.verdict == WRONG and not self.stale and not self.repeated


def verdicts(design: Design, readings: Sequence[Reading]) -> tuple[Verdict, ...]:
    """A verdict on each reading; all readings of the design are looked through for its baseline."""
    base = [
        one for one in design.readings
        if one.baseline and any(same_place(design, one, reading) for reading in readings)
        and not is_stale(design, one) and not impossible(design, one)
    ]  # fmt: skip
    every = expected(design, [*readings, *base])
    own, of_base = every[: len(readings)], every[len(readings) :]
    return tuple(_verdict(design, reading, found, list(zip(base, of_base, strict=True))) for reading, found in zip(readings, own, strict=True))


def impossible(design: Design, reading: Reading) -> str | None:
    """Why a reading cannot be right, in one line; None where it can be."""
    value = reading_value(reading).si
    if value < 0:
        return "less than nothing: swap the tubes of the gauge, or leave the sign out"
    units, fan = system(design), fan_of(design.collector, air_of(design.site).density)
    if READ[reading.what] == "pressure":
        highest = max(fan.shut_off, *(fan.scale * point.pressure.si for point in design.collector.curve), 0.0)
        if value > highest:
            return f"{_BEYOND}, whose curve in the air of this shop ends at {show(highest, 'pressure', units)}: look at the unit"
        return None
    narrowest = area(min([port.bore.si for machine in design.machines for port in machine.ports] or [design.collector.inlet.si]))
    dimension, where, last = ("flow", "", fan.high) if reading.what == "flow" else ("speed", " in the narrowest port", fan.high / narrowest)
    if value > _BEYOND_ITS_SHEET * last:
        passed = f"{_BEYOND_ITS_SHEET - 1.0:.0%} more is let pass"
        return f"{_BEYOND}, whose curve ends at {show(last, dimension, units)}{where}, {passed}: look at the unit"
    return None


def is_repeated(design: Design, reading: Reading) -> bool:
    """Whether the same was read again, later that day, in the same ducts: a reading in the design that has one of its day and place behind it."""
    at = next((i for i, one in enumerate(design.readings) if one is reading), None)
    if at is None or reading.date is None:
        return False
    later = (one for one in design.readings[at + 1 :] if (one.date, one.ducts) == (reading.date, reading.ducts))
    return any(same_place(design, one, reading) for one in later)


def is_stale(design: Design, reading: Reading) -> bool:
    """Whether the ducts were others when a reading was taken, by its mark; a reading without one is taken as it is."""
    if reading.ducts is None:
        return False
    try:
        return reading.ducts != mark_of(design, gate_set_of(design, reading))
    except Unforeseen:
        return True


def own_doubt(reading: Reading, value: float) -> float:
    """How far a reading may be off by itself where it should show a value, nine times in ten, SI."""
    if reading.give_or_take is not None:
        return NINE_IN_TEN * parse(reading.give_or_take, READ[reading.what]).si
    dimension = READ[reading.what]
    return max(usual_doubt(dimension) * abs(value), LEAST[dimension])


def usual_doubt(dimension: str) -> float:
    """How far a reading of a dimension may be off, as a share, nine times in ten, where its gauge tells nothing."""
    return _COARSE if dimension in ("speed", "flow") else _TOLERANCE


def usual_spread(what: str) -> float:
    """The same of what was read, as one standard deviation."""
    return usual_doubt(READ[what]) / NINE_IN_TEN


def _verdict(design: Design, reading: Reading, found: Foreseen, base: Sequence[tuple[Reading, Foreseen]]) -> Verdict:
    value, stale, doubt = reading_value(reading).si, is_stale(design, reading), impossible(design, reading)
    if isinstance(found, Unforeseen):
        return Verdict(reading, value, None, None, None, None, LOOK, str(found), "design", stale, doubt, is_repeated(design, reading))
    middle, low, high, by = _measure(design, reading, found, base)
    off = max((value - middle) / (high - middle) if value > middle else (middle - value) / (middle - low) if value < middle else 0.0, 0.0)
    verdict = AS_EXPECTED if off <= 1.0 else LOOK if off <= _WRONG else WRONG
    reason = _reason(design, reading, value, (middle, low, high), verdict, by)
    if doubt:
        verdict, reason = WRONG, doubt
    if stale:
        reason = f"stale, the ducts or gates were others then; beside those of now: {reason}"
    return Verdict(reading, value, middle, low, high, found.value, verdict, reason, by, stale, doubt, is_repeated(design, reading))


def _measure(design: Design, reading: Reading, found: Expected, base: Sequence[tuple[Reading, Foreseen]]) -> tuple[float, float, float, str]:
    """What a reading is held against: the latest baseline of its place, carried over to the filter of now, else the design."""
    own = own_doubt(reading, found.value)
    latest_last = sorted(base, key=lambda row: str(row[0].date or ""))  # of a day the last in the file
    for earlier, then in latest_last[::-1]:
        if earlier is not reading and same_place(design, earlier, reading) and isinstance(then, Expected) and then.value > 0:
            middle = reading_value(earlier).si * found.value / then.value
            wide = max(_AGAINST_BASELINE * middle, own if reading.give_or_take else 0.0)
            return middle, middle - wide, middle + wide, "baseline"
    return found.value, found.value - hypot(found.value - found.low, own), found.value + hypot(found.high - found.value, own), "design"


def same_place(design: Design, one: Reading, other: Reading) -> bool:
    """Whether two readings are of the same thing at the same place in the same gate set, however each names the place."""
    return (one.what, one.gate_set) == (other.what, other.gate_set) and (_as_named(one) == _as_named(other) or _one_spot(design, one, other))


def _as_named(reading: Reading) -> tuple[str | float | None, ...]:
    return reading.at, reading.port, reading.test_point, reading.from_collector.si if reading.from_collector else None


def _one_spot(design: Design, one: Reading, other: Reading) -> bool:
    try:
        return same_spot(spot_of(design, one), spot_of(design, other))
    except Unforeseen:
        return False


def _reason(design: Design, reading: Reading, value: float, span: tuple[float, float, float], verdict: str, by: str) -> str:
    units, dimension = system(design), READ[reading.what]
    middle, low, high = span[0], max(span[1], 0.0), span[2]
    told = f"{by} says {show(middle, dimension, units)}, as it should be from {show(low, dimension, units)} to {show(high, dimension, units)}"
    if verdict == AS_EXPECTED:
        return told
    if other := _other_unit(reading, low, high):
        return f"{told}; in {other} it would be as expected: look at the unit"
    hints = _LEAK_HINTS if reading.gate_set == ALL_SHUT.name else _HINTS
    return f"{told}; {hints[reading.what][value > middle]}"


def _other_unit(reading: Reading, low: float, high: float) -> str | None:
    """A unit in which the number read would be as expected."""
    number = reading.value.strip().split(" ")[0]
    for unit in _UNITS[READ[reading.what]]:
        try:
            if unit not in reading.value and low <= parse(f"{number} {unit}", READ[reading.what]).si <= high:
                return unit
        except UnitError:
            return None
    return None


_UNITS = {"pressure": ("Pa", "mmH2O", "inH2O"), "flow": ("m3/h", "cfm", "L/s"), "speed": ("m/s", "ft/min")}
# What less (False) and more (True) than expected comes of, as a rule: practice of troubleshooting by static suction, magnitudes left out; physics.
_SUCTION = {
    False: "less suction: a leak or an open gate nearby, a clog between here and the collector, or a collector that gives less",
    True: "more suction: less air comes from beyond here; a choke or clog outward of it, a gate not quite open, or fewer gates open",
}
_FLOW = {
    False: "less air: a choke or clog, a leak nearer to the collector, other gates open too, or a loaded filter",
    True: "more air: fewer gates open than the set says, or a machine's port that takes less than the design has it",
}
_HINTS = {
    "suction": _SUCTION, "velocity pressure": _FLOW, "speed": _FLOW, "flow": _FLOW,
    "filter drop": {
        False: "less drop: less air, a cleaner filter than said, or one that is torn: look for dust in the room",
        True: "more drop: the filter is more loaded than said, or more air goes through it",
    },
    "inlet suction": {
        False: "less suction at the inlet: more gates open, a loaded filter behind a weak fan, a fan that runs slow or backwards",
        True: "more suction at the inlet: fewer gates open, or a clog in the main",
    },
}  # fmt: skip
# The same where all is shut, for what is read then.
_LEAK_HINTS = _HINTS | {
    "flow": {False: _FLOW[False], True: "leaks: listen and feel along joints, hoses and shut gates, seal what draws, and read again"},
    "inlet suction": {
        False: "less suction than what is closed should hold: it leaks, a cap or gate is not tight, or the collector gives less",
        True: "more suction than the collector should give: look at the gauge and at the collector's curve",
    },
}


def place_of(verdict: Verdict, design: Design) -> str:
    """Where and how a reading was taken, in words."""
    reading = verdict.reading
    opened = f", {reading.gate_set}" if reading.gate_set else ""
    return f"{reading.what} at {place_text(reading, system(design))}{opened}, filter {filter_of(design, reading)}"
