"""The nodes of what was decided and measured, and of the collectors to choose from."""

from __future__ import annotations

from collections.abc import Iterator

from engine import edits
from engine.design import CollectorChoice, CurvePoint, Design, system
from engine.design.differences import brief
from engine.design.names import label
from engine.design.places import ACCEPTED, CHOICES, LEFT_OVER, LOG, OWN_LIMITS, READINGS, TEST_POINTS, ChoiceAt, Rows
from engine.units import show
from tui.panes.tree.node import Node, heading, leaves

_RECORDS = (
    (CHOICES, "collectors to choose from"), (ACCEPTED, "accepted findings"), (OWN_LIMITS, "limits of the shop's own"),
    (TEST_POINTS, "test points"), (READINGS, "readings"), (LOG, "log"), (LEFT_OVER, "left over of the work"),
)  # fmt: skip


def records(design: Design) -> Iterator[Node]:
    """What was decided and measured, and the collectors to choose from."""
    for rows, title in _RECORDS:
        held = edits.at(design, rows)
        if rows == CHOICES:
            yield heading(rows, title, tuple(_choice(ChoiceAt(i), choice, system(design)) for i, choice in enumerate(held)))
        else:
            yield heading(rows, title, leaves(rows, [f"{label(design, rows.row(i))}: {brief(item)}" for i, item in enumerate(held)]))


def _choice(place: ChoiceAt, choice: CollectorChoice, units: str) -> Node:
    curve, losses = Rows(place, "curve"), Rows(place, "losses")
    held = (
        heading(curve, "curve points", leaves(curve, [point_label(point, units) for point in choice.curve])),
        heading(losses, "losses", leaves(losses, [loss.name for loss in choice.losses])),
    )
    return Node(place, ("collector choices", choice.id), choice.id, held, folded=True)


def point_label(point: CurvePoint, units: str) -> str:
    """A point of a curve in a few words."""
    return f"{show(point.flow.si, 'flow', units)} at {show(point.pressure.si, 'pressure', units)}"
