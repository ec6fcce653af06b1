"""What a new record starts as: a finding accepted, a limit of the shop's own, a test point, a reading, an entry of the log."""

from __future__ import annotations

from datetime import date

from engine.catalog.finding_limits import finding_limits
from engine.design import Accepted, CollectorChoice, Design, FittingLength, GaugePoint, LeftOver, LogEntry, OwnLimit, Reading, Run, Stock, system
from engine.design.model import FITTINGS
from engine.design.names import fresh_name, names_taken
from engine.design.places import Row, at
from engine.design.rules.record import known_limits
from engine.edits.refusal import EditError
from engine.units import parse, show

_UNSAID = "say why"


def accepted(design: Design, _: Row) -> Accepted:
    """A finding to name, at the first run."""
    at_first = design.runs[0].id if design.runs else "collector"
    return Accepted(finding=next(iter(finding_limits())), at=at_first, reason=_UNSAID, date=date.today())


def own_limit(design: Design, _: Row) -> OwnLimit:
    """The first limit that the shop has not set, as it is in the catalog."""
    taken = {own.of for own in design.limits}
    of, limit = next(((of, limit) for of, limit in known_limits().items() if of not in taken), (None, None))
    if of is None or limit is None:
        raise EditError("every limit there is is set already")
    is_ = show(limit.value, limit.dimension, system(design)) if limit.dimension else f"{limit.value:g}"
    return OwnLimit(of=of, is_=is_, reason=_UNSAID)


def test_point(design: Design, place: Row) -> GaugePoint:
    """A test point in the first run that has none."""
    measured = {point.at for point in design.test_points}
    run: Run | None = next((run for run in design.runs if run.id not in measured), next(iter(design.runs), None))
    if run is None:
        raise EditError("there is no run to measure in")
    return GaugePoint(id=fresh_name(f"{run.id} A", names_taken(design, place.rows, GaugePoint)), at=run.id)


def reading(design: Design, _: Row) -> Reading:
    """A suction, at the first test point where there is one."""
    point = next((point.id for point in design.test_points), None)
    return Reading(date=date.today(), what="suction", test_point=point, value=show(0.0, "pressure", system(design)))


def log_entry(_: Design, _place: Row) -> LogEntry:
    """An entry of today."""
    return LogEntry(date=date.today(), text="say what was done")


def left_over(design: Design, _: Row) -> LeftOver:
    """A part to name, of the first run."""
    return LeftOver(part="say what it is", of=design.runs[0].id if design.runs else "collector")


def choice(design: Design, place: Row) -> CollectorChoice:
    """A collector to choose from, of which nothing is known yet."""
    return CollectorChoice(id=fresh_name("collector A", names_taken(design, place.rows, CollectorChoice)))


def fitting_length(design: Design, place: Row) -> FittingLength:
    """The first fitting whose length the stock does not say."""
    stock: Stock = at(design, place.rows.of)
    taken = {length.of for length in stock.fitting_lengths}
    free = next((of for of in FITTINGS if of not in taken), None)
    if free is None:
        raise EditError("the stock has a length for every fitting already")
    return FittingLength(of=free, length=parse("100 mm" if system(design) == "metric" else "4 in", "length"))
