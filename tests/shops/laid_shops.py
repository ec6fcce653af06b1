"""Small shops to lay ducts in, their rooms, and the drafts of them. Invented data."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from engine.design import Corner, Design, Machine, Site, Zone
from engine.search.layouts.drafting import draft
from engine.search.layouts.proposing import drafts
from tests.shops.bare_shops import COLLECTOR, KINDS
from tests.shops.small_shops import at, q


def drafted(*machines: Machine, **rest) -> Design:
    return draft(Design(name="shop", collector=replace(COLLECTOR, **at(0, 0, 1.0)), machines=machines, **rest))


def in_line(count: int) -> list[Machine]:
    return [Machine(id=f"machine {i}", ports=KINDS[0].ports, **at(2.0 * (i + 1), 1.0)) for i in reversed(range(count))]


@cache
def alternatives(*machines: Machine, **rest):
    """The layouts offered for a shop; laid once."""
    shop = Design(name="shop", collector=replace(COLLECTOR, **at(0.4, 0.4, 1.0)), machines=machines, **rest)
    *_, last = drafts(shop)
    return last.proposals


def room(east: float, north: float, height: float = 3.0, zones: tuple[Zone, ...] = ()) -> Site:
    spots = ((0, 0), (east, 0), (east, north), (0, north))
    return Site(height=q(f"{height} m"), room=tuple(Corner(east=q(f"{x} m"), north=q(f"{y} m")) for x, y in spots), zones=zones)


def box(name: str, west: float, east: float, south: float, north: float, **rest) -> Zone:
    sides = dict(west=west, east=east, south=south, north=north, **rest)
    return Zone(name=name, **{side: q(f"{value} m") for side, value in sides.items()})
