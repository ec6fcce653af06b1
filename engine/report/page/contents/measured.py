"""Sheets to measure by: where to drill and what a gauge should show; what the filter takes when it is clean, and when it wants cleaning."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from engine.checks.cautions import caution
from engine.design import READ, Reading
from engine.field.conversions import TRAVERSES
from engine.field.expected import Foreseen, expected
from engine.field.sheet import Stop
from engine.field.spots import Unforeseen
from engine.parts.tape import tape_text
from engine.report.page.blocks import BLANK, Block, Card, Points, Table, Words
from engine.report.page.job import Job
from engine.report.page.readings import ToRead

_NOTES = (
    "From and to: nine times in ten the reading lies between, by what is doubtful about the design alone; add what your gauge is off.",
    "Suction is static: read it through a small hole, square to the duct and without burrs.",
    "Speed is the mean over the bore: a traverse of two diameters, each point turned into a speed first.",
)
_BLANKS = ("date", "by whom", "instrument", "filter")
_TRAVERSE = TRAVERSES[6]


def measuring(job: Job) -> Iterator[Block]:
    """The test sheet: where to drill, then gate set after gate set what to expect, with a blank for each reading."""
    told = [(result.gate_set, each) for result, each in zip(job.assessment.sets, job.readings, strict=True)]
    if not any(each for _, each in told):
        yield Words("No run yet: nothing to measure.")
        return
    yield Words(caution("ladder").text(job.design), "warning")
    yield Table("", _BLANKS, ((BLANK,) * len(_BLANKS),))
    yield from _drilling(job, [one.stop for _, each in told for one in each])
    for gate_set, each in told:
        rows = [row for one in each for row in _row(job, one)]
        opened = ", ".join(gate_set.open) or "nothing"
        yield Card(f"{gate_set.name}: {opened} at work", (Table("", ("read", "at", "expected", "from", "to", "shows"), tuple(rows)),))


def _drilling(job: Job, every: Sequence[Stop]) -> Iterator[Block]:
    """Every tap that is not there yet: where, how high, how many holes; and how deep the points of a traverse are in each bore."""
    drills = {stop.point: stop.drill for stop in every if stop.drill}
    if not drills:
        return
    holed = {stop.point for stop in every if stop.what in ("flow", "speed")}
    rows = []
    bores: dict[float, None] = {}
    for point, drill in drills.items():
        behind = f"{tape_text(drill.behind, job.units)}, {drill.bores:.1f} bores"
        bores[drill.behind / drill.bores] = None
        height = job.height_in(drill.run, drill.distance)
        remark = "" if drill.enough else "too near: uneven air, read with care"
        up = tape_text(height, job.units) if height is not None else BLANK
        holes = "2, a quarter turn apart" if point in holed else "1"
        rows.append((point, f"{drill.run}, straight {drill.straight}", behind, tape_text(drill.distance, job.units), up, holes, remark))
    heads = ("point", "in", "past the fitting at its outer end", "from the run's collector end", "above floor", "holes", "")
    yield Table("Where to drill", heads, tuple(rows))
    yield Points(_NOTES)
    depths = [(job.show(bore, "bore"), *(tape_text(share * bore, job.units) for share in _TRAVERSE)) for bore in sorted(bores)]
    points = ("bore", *(f"{number}" for number in range(1, len(_TRAVERSE) + 1)))
    yield Table("How far the tip of a pitot tube stands in from the wall, point after point of a traverse", points, tuple(depths))


def _row(job: Job, one: ToRead) -> Iterator[tuple[str, ...]]:
    """A line of the sheet; none where nothing is known that could be read."""
    if not isinstance(one.found, Unforeseen):
        dimension, found = READ[one.reading.what], one.found
        value, low, high = job.show(found.value, dimension), job.number(found.low, dimension), job.number(found.high, dimension)
        yield one.reading.what, one.stop.place, value, low, high, BLANK


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
