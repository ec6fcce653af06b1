"""What can be selected in a design: a place, one of a run's endings, or the heading of a list."""

from __future__ import annotations

from engine.design import Design
from engine.design.places import Place, at

JOINT = "joint"
END = "end"
OUTLET = ("collector", "outlet_pieces")
_HEADINGS: tuple[Place, ...] = (
    ("machines",),
    ("stock",),
    ("gate_sets",),
    ("collector", "curve"),
    ("collector", "losses"),
    ("site", "room"),
    ("site", "zones"),
)


def headings(design: Design) -> tuple[Place, ...]:
    """The lists that can be selected as a whole: the other ones have no row but those of what they hold."""
    outside = design.collector.discharge == "outside" and design.collector.outlet is not None
    return (*_HEADINGS, OUTLET) if outside else _HEADINGS


def owner(place: Place) -> Place:
    """The place in the design itself: the run, for either of its endings."""
    return place[:-1] if place[-1:] in ((JOINT,), (END,)) else place


def nearest(design: Design, place: Place) -> Place:
    """`place` where it can be selected, else its last sibling, else what it was part of."""
    place = tuple(place)
    while place and not _can_be_selected(design, place):
        parent, last = place[:-1], place[-1]
        siblings = found(design, parent) if isinstance(last, int) else None
        if siblings and last >= len(siblings):
            place = (*parent, len(siblings) - 1)
        else:
            place = ("collector",) if place == ("runs",) else parent
    return place


def _can_be_selected(design: Design, place: Place) -> bool:
    if place[-1] in (JOINT, END) and (len(place) != 3 or place[0] != "runs"):
        return False
    there = found(design, owner(place))
    return place in headings(design) if isinstance(there, tuple) else there is not None


def found(design: Design, place: Place) -> object | None:
    """What is at a place, or None."""
    if any(isinstance(part, int) and part < 0 for part in place):
        return None
    try:
        return at(design, place)
    except (LookupError, AttributeError, TypeError):
        return None
