"""Sheets to measure by: where to drill and what a gauge should show; what the filter takes when it is clean, and when it wants cleaning."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from engine.checks.cautions import caution
from engine.design import READ, GateSet, Reading
from engine.field.expected import Foreseen, expected
from engine.field.sheet import Stop, stops
from engine.field.spots import Unforeseen
from engine.parts.tape import tape_text
from engine.report.page.blocks import BLANK, Block, Card, Points, Table, Words
from engine.report.page.job import Job
from engine.units import make

_NOTES = (
    "From and to: nine times in ten the reading lies between, by what is doubtful about the design alone; add what your gauge is off.",
    "Suction is static: read it through a small hole, square to the duct and without burrs.",
    "Speed is the mean over the bore: a traverse of two diameters, each point turned into a speed first.",
)
_BLANKS = ("date", "by whom", "instrument", "filter")
_ALSO_SPEED = ("suction", "flow")


def measuring(job: Job) -> Iterator[Block]:
    """The test sheet: where to drill, then gate set after gate set what to expect, with a blank for each reading."""
    told = [(result.gate_set, stops(job.design, result.gate_set)) for result in job.assessment.sets]
    if not any(each for _, each in told):
        yield Words("No run yet: nothing to measure.")
        return
    yield Words(caution("ladder").text(job.design), "warning")
    yield Table("", _BLANKS, ((BLANK,) * len(_BLANKS),))
    yield from _drilling(job, [stop for _, each in told for stop in each])
    found = iter(expected(job.design, [reading for gate_set, each in told for stop in each for reading in _readings(gate_set, stop)]))
    for gate_set, each in told:
        rows = [row for stop in each for reading in _readings(gate_set, stop) for row in _row(job, reading, stop.place, next(found))]
        opened = ", ".join(gate_set.open) or "nothing"
        yield Card(f"{gate_set.name}: {opened} at work", (Table("", ("read", "at", "expected", "from", "to", "shows"), tuple(rows)),))
    yield Points(_NOTES)


def _drilling(job: Job, every: Sequence[Stop]) -> Iterator[Block]:
    """Every tap that is not there yet."""
    drills = {stop.point: stop.drill for stop in every if stop.drill}
    rows = []
    for point, drill in drills.items():
        behind = f"{tape_text(drill.behind, job.units)}, {drill.bores:.1f} bores"
        remark = "" if drill.enough else "too near: the air is uneven there, read with care"
        rows.append((point, f"{drill.run}, straight {drill.straight}", behind, tape_text(drill.distance, job.units), remark))
    if rows:
        heads = ("point", "in", "past the fitting at its outer end", "from the end of the run towards the collector", "")
        yield Table("Where to drill", heads, tuple(rows))


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


def _row(job: Job, reading: Reading, place: str, found: Foreseen) -> Iterator[tuple[str, ...]]:
    """A line of the sheet; none where nothing is known that could be read."""
    if not isinstance(found, Unforeseen):
        dimension = READ[reading.what]
        value, low, high = job.show(found.value, dimension), job.number(found.low, dimension), job.number(found.high, dimension)
        yield reading.what, place, value, low, high, BLANK


def filter_card(job: Job) -> Iterator[Block]:
    """What the gauge over the filter shows in each gate set, clean and when it wants cleaning."""
    sets = [result.gate_set for result in job.assessment.sets]
    readings = [Reading(what="filter drop", value="0 Pa", gate_set=each.name, filter=state) for each in sets for state in ("clean", "dirty")]
    found = expected(job.design, readings)
    if reasons := [one for one in found if isinstance(one, Unforeseen)]:
        yield Words(f"Nothing can be told: {reasons[0]}.")
        yield Words("Write down what the gauge shows with the filter as new; clean it at what its maker says.")
        yield Table("", ("gate set", "as new", "clean me at"), tuple((each.name, BLANK, BLANK) for each in sets))
        return
    rows = []
    for number, each in enumerate(sets):
        rows.append((each.name, *(_span(job, one) for one in found[2 * number : 2 * number + 2])))
    yield Words("At or above the last column the filter wants cleaning. Machines off and locked, respirator on: it holds the finest dust.", "warning")
    yield Table("", ("gate set", "clean", "clean me"), tuple(rows))


def _span(job: Job, found: Foreseen) -> str:
    if isinstance(found, Unforeseen):
        return BLANK
    return f"{job.show(found.value, 'pressure')} ({job.number(found.low, 'pressure')} to {job.number(found.high, 'pressure')})"
