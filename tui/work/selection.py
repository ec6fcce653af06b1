"""What can be selected in a design: a thing, one of a run's endings, or the heading of a list."""

from __future__ import annotations

from engine.design import Design
from engine.design.names import label
from engine.design.places import (
    ACCEPTED,
    CHOICES,
    COLLECTOR,
    CURVE,
    DESIGN,
    GATE_SETS,
    LEFT_OVER,
    LOG,
    LOSSES,
    MACHINES,
    OUTLET,
    OWN_LIMITS,
    READINGS,
    ROOM,
    RUNS,
    STOCK,
    TEST_POINTS,
    ZONES,
    ChoiceAt,
    EndOf,
    Place,
    PortAt,
    Row,
    Rows,
    StockAt,
    at,
)  # fmt: skip

_HEADINGS = (MACHINES, STOCK, GATE_SETS, CURVE, LOSSES, ROOM, ZONES, CHOICES, ACCEPTED, OWN_LIMITS, TEST_POINTS, READINGS, LOG, LEFT_OVER)


def headings(design: Design) -> tuple[Rows, ...]:
    """The lists that can be selected as a whole: the other ones have no row but those of what they hold."""
    outside = design.collector.discharge == "outside" and design.collector.outlet is not None
    lengths = (Rows(StockAt(i), "fitting_lengths") for i, stock in enumerate(design.stock) if stock.fitting_lengths)
    of_choices = (Rows(ChoiceAt(i), field) for i in range(len(design.collector_choices)) for field in ("curve", "losses"))
    return (*_HEADINGS, *((OUTLET,) if outside else ()), *lengths, *of_choices)


def nearest(design: Design, place: Place) -> Place:
    """`place` where it can be selected, else its last sibling, else what it was part of."""
    while place != DESIGN and not _can_be_selected(design, place):
        siblings = _found(design, place.rows) if isinstance(place, Row) else None
        if isinstance(place, Row) and isinstance(siblings, tuple) and 0 < len(siblings) <= place.index:
            place = place.rows.row(len(siblings) - 1)
        else:
            place = COLLECTOR if place == RUNS else place.holder
    return place


def row_of(design: Design, place: Place) -> Place:
    """Where to go for what is told of a place: for a port, the end of the run that leads there."""
    if not isinstance(place, PortAt):
        return place
    port = label(design, place)
    return next((EndOf(i) for i, run in enumerate(design.runs) if run.ends == port), place)


def _can_be_selected(design: Design, place: Place) -> bool:
    return place in headings(design) if isinstance(place, Rows) else _found(design, place) is not None


def _found(design: Design, place: Place) -> object | None:
    """What is at a place, or None."""
    if any(isinstance(step, int) and step < 0 for step in place.steps):
        return None
    try:
        thing: object = at(design, place)
    except IndexError:
        return None
    return thing
