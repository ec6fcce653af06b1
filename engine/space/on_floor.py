"""What stands on the floor: the boxes that machines and the collector take."""

from __future__ import annotations

from math import inf

from engine.design import Collector, Machine, defaults
from engine.shapes.clearance import Box
from engine.shapes.vectors import WAYS


def body_of(item: Collector | Machine) -> Box | None:
    """The box of a machine, about its place, or of a collector, which begins at its inlet and lies behind it.

    As high as may be where its height is not known; None without a place or without its size on the floor.
    """
    wide, deep = item.size.east, item.size.north
    if not (item.east and item.north and wide and deep):
        return None
    east, north = item.east.si, item.north.si
    if isinstance(item, Collector):
        out = WAYS[item.faces or defaults.FACES]
        east, north = east - out[0] * wide.si / 2, north - out[1] * deep.si / 2
    top = item.size.up.si if item.size.up else inf
    return Box((east - wide.si / 2, north - deep.si / 2, 0.0), (east + wide.si / 2, north + deep.si / 2, top))
