"""What a shop has where its design leaves it open: positions, a store, gate sets. Ordinary values, to be changed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TypeVar

from engine.catalog import pipe_family
from engine.design import Collector, Design, GateSet, Machine, system
from engine.design.from_catalog import stock_of
from engine.design.names import fresh_name
from engine.design.rules.consistency import MOST_GATE_SETS
from engine.search.quantities import round_length
from engine.shapes.vectors import Point

# What a store has where nothing is known of it, by the units shown: pipe, hose.
USUAL_STOCK = {"metric": ("spiral", "hose"), "imperial": ("sheet metal", "US hose")}
# Heights of ports and inlet, and how far apart and off the wall machines stand, m: common practice, no source.
_PORT_UP, _INLET_UP = 0.8, 1.0
_ALONG_WALL, _OFF_WALL = 1.5, 1.0
# How far from the origin a thing can stand in a design, m.
_FARTHEST = 1000.0


def with_places(design: Design) -> Design:
    """The design with a position for collector and machines: those without stand along a wall, eastward of all others."""
    units = system(design)
    west = min((machine.east.si for machine in design.machines if machine.east), default=_ALONG_WALL)
    south = min((machine.north.si for machine in design.machines if machine.north), default=_OFF_WALL)
    collector = _fill_in(design.collector, units, (west - _ALONG_WALL, south - _OFF_WALL, _INLET_UP))
    east, row, _ = position(collector)
    east = max([east, *(machine.east.si for machine in design.machines if machine.east)])
    machines = []
    for machine in design.machines:
        east += 0.0 if machine.east else _ALONG_WALL
        machines.append(_fill_in(machine, units, (east, row + _OFF_WALL, _PORT_UP)))
    return replace(design, collector=collector, machines=tuple(machines))


_Item = TypeVar("_Item", Collector, Machine)


def _fill_in(item: _Item, units: str, usual: Point) -> _Item:
    """The item with what its position lacks."""
    east, north, up = (round_length(min(max(value, -_FARTHEST), _FARTHEST), units) for value in usual)
    return replace(item, east=item.east or east, north=item.north or north, up=item.up or up)


def position(item: Collector | Machine) -> Point:
    """Where a thing stands, m. Raises ValueError where that is not known."""
    if item.east is None or item.north is None or item.up is None:
        raise ValueError("what stands nowhere has no position")
    return (item.east.si, item.north.si, item.up.si)


def with_stock(design: Design) -> Design:
    """The design with the usual pipe and the usual hose, where the store has no pipe and no hose."""
    kinds, taken = {stock.kind for stock in in_store(design).stock}, {stock.id for stock in design.stock}
    wanted = (stock_of(pipe_family(family)) for family in USUAL_STOCK[system(design)])
    added = (replace(stock, id=fresh_name(stock.id, taken)) for stock in wanted if stock.kind not in kinds)
    return replace(design, stock=(*design.stock, *added))


def in_store(design: Design) -> Design:
    """The design with only the sizes that the store has, and no stock without any."""
    stocks = (replace(stock, sizes=tuple(size for size in stock.sizes if size.in_store is not False)) for stock in design.stock)
    return replace(design, stock=tuple(stock for stock in stocks if stock.sizes))


def with_gate_sets(design: Design) -> Design:
    """The design with a gate set for each machine alone where none is given, and where they are not too many."""
    if design.gate_sets or len(design.machines) > MOST_GATE_SETS:
        return design
    return replace(design, gate_sets=each_alone(design.machines))


def each_alone(machines: Iterable[Machine]) -> tuple[GateSet, ...]:
    """A gate set for every machine on its own."""
    sets: list[GateSet] = []
    for machine in machines:
        name = fresh_name(f"{machine.id} alone", {made.name for made in sets})
        sets.append(GateSet(name=name, open=(machine.id,)))
    return tuple(sets)
