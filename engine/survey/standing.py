"""Where things may stand on the floor, beside what stands there already."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import product
from math import dist, inf

from engine.design import Design, Machine, Zone
from engine.design.model import in_the_way
from engine.shapes.clearance import Box, inside, overlap, wider
from engine.space.on_floor import body_of
from engine.survey.floor import outside
from engine.units.words import listed

_ONE_PLACE = 0.05  # m: nearer than this two machines stand in one place
_TOUCHING = 0.01  # m: boxes that share no more than this only touch
_MOST_NAMED = 3


def standing_wrong(design: Design, machine: Machine) -> str:
    """Why a machine cannot stand where it is said to, beside the other machines of a design; "" where it can."""
    if machine.east is None or machine.north is None:
        return ""
    spot = machine.east.si, machine.north.si
    if outside(design.site, spot):
        return f"{machine.east.text}, {machine.north.text} is outside the walls"
    for other in design.machines:
        if other.id != machine.id and other.east and other.north and dist(spot, (other.east.si, other.north.si)) < _ONE_PLACE:
            return f"{other.id} stands there already"
    return ""


def met_by_machine(design: Design, index: int) -> str:
    """What the body of a machine reaches into, in a line; "" for nothing."""
    machine = design.machines[index]
    return _told(design, body_of(machine), except_for={machine.id})


def met_by_collector(design: Design) -> str:
    """What the body of the collector reaches into, in a line; "" for nothing, and while it is not known which way it faces."""
    if design.collector.faces is None:
        return ""
    return _told(design, body_of(design.collector), except_for={design.collector.name or "the collector"})


def met_by_zones(design: Design, names: Collection[str]) -> str:
    """What these boxes in the room reach into besides each other, in a line; "" for nothing."""
    met = [thing for zone in in_the_way(design.site.zones) if zone.name in names for thing in _met(design, _box(zone), names)]
    return f"reaches into {listed(list(dict.fromkeys(met)), _MOST_NAMED)}" if met else ""


def _told(design: Design, body: Box | None, except_for: Collection[str]) -> str:
    if body is None:
        return ""
    (west, south, _), (east, north, _) = body
    corners = [(corner.east.si, corner.north.si) for corner in design.site.room]
    ends = product((west + _TOUCHING, east - _TOUCHING), (south + _TOUCHING, north - _TOUCHING))
    met = ["a wall"] if len(corners) > 2 and not all(inside(spot, corners) for spot in ends) else []
    met += _met(design, body, except_for)
    return f"its body reaches into {listed(met, _MOST_NAMED)}" if met else ""


def _met(design: Design, box: Box, except_for: Collection[str]) -> Iterator[str]:
    """The names of machines, of the collector and of boxes in the room that a box has a part of its room in common with."""
    collector = design.collector
    known = [(machine.id, body_of(machine)) for machine in design.machines]
    known += [(collector.name or "the collector", body_of(collector)), *((zone.name, _box(zone)) for zone in in_the_way(design.site.zones))]
    yield from (name for name, its in known if its and name not in except_for and overlap(wider(box, -_TOUCHING), its))


def _box(zone: Zone) -> Box:
    low, high = zone.bottom.si if zone.bottom else 0.0, zone.top.si if zone.top else inf
    return Box((zone.west.si, zone.south.si, low), (zone.east.si, zone.north.si, high))
