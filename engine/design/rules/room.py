"""The rules of the room: walls that enclose a floor, boxes that are boxes."""

from __future__ import annotations

from engine.design import Corner, Design
from engine.design.kept import WHOLES, kept
from engine.design.mistake import Breach, Breaches, Path, quoted, unique
from engine.shapes.clearance import Spot, on_line, sides, touch

MOST_CORNERS = 100
MOST_ZONES = 200
FEWEST_CORNERS = 3


def walls(design: Design) -> Breaches:
    """Three corners or more, each in a place of its own, and no two walls across each other."""
    yield from _walls(design.site.room)


@kept(WHOLES)
def _walls(room: tuple[Corner, ...]) -> tuple[Breach, ...]:
    return tuple(_of_walls([(corner.east.si, corner.north.si) for corner in room]))


def _of_walls(corners: list[Spot]) -> Breaches:
    if 0 < len(corners) < FEWEST_CORNERS:
        yield Breach(("site", "room"), f"{len(corners)} corner{'s' if len(corners) > 1 else ''}", f"at least {FEWEST_CORNERS}, or none")
    elif len(corners) > MOST_CORNERS:
        yield Breach(("site", "room"), f"{len(corners)} corners", f"at most {MOST_CORNERS}")
    elif corners:
        yield from _meeting(sides(corners))


def _meeting(sides_: list[tuple[Spot, Spot]]) -> Breaches:
    """The first wall that meets another one elsewhere than at its corners."""
    for i, (start, end) in enumerate(sides_):
        if start == end:
            yield Breach(("site", "room", i), "the next corner is in the same place", "a place of its own for each")
            return
    for i, (start, end) in enumerate(sides_):
        met = next((j for j in range(i - 1) if (i + 1 - j) % len(sides_) and touch(start, end, *sides_[j])), None)
        met = (i - 1) % len(sides_) if _turns_back(sides_[i - 1], end) else met
        if met is not None:
            found = f"the wall from corner {i + 1} meets the one from corner {met + 1}"
            yield Breach(("site", "room", i), found, "walls that meet at their ends only, corner after corner")
            return


def _turns_back(wall: tuple[Spot, Spot], end: Spot) -> bool:
    """Whether the next wall, to `end`, leads back along a wall."""
    start, corner = wall
    back = (corner[0] - start[0]) * (end[0] - corner[0]) + (corner[1] - start[1]) * (end[1] - corner[1]) < 0.0
    return back and (on_line(end, start, corner) or on_line(start, corner, end))


def mains(design: Design) -> Breaches:
    """The lowest height of mains is not above their greatest."""
    low, high = design.site.main_lowest, design.site.main_highest
    if low and high and low.si > high.si:
        yield Breach(("site", "main_lowest"), quoted(low.text), f"at most main_highest, {quoted(high.text)}")


def zones(design: Design) -> Breaches:
    """A zone's sides are in their order along every axis; where it does not say, it goes from the floor to the ceiling."""
    if len(design.site.zones) > MOST_ZONES:
        yield Breach(("site", "zone"), f"{len(design.site.zones)} of them", f"at most {MOST_ZONES}")
    for i, zone in enumerate(design.site.zones):
        path: Path = ("site", "zone", i)
        for low, high in (("west", "east"), ("south", "north")):
            least, most = getattr(zone, low), getattr(zone, high)
            if least.si >= most.si:
                yield Breach((*path, high), quoted(most.text), f"more than {low}, {quoted(least.text)}")
        bottom, top = zone.bottom.si if zone.bottom else 0.0, zone.top or design.site.height
        if top and bottom >= top.si:
            if zone.top:
                least = f"bottom, {quoted(zone.bottom.text)}" if zone.bottom else "the floor, 0"
                yield Breach((*path, "top"), quoted(top.text), f"more than {least}")
            elif zone.bottom:
                yield Breach((*path, "bottom"), quoted(zone.bottom.text), f"less than the height of the room, {quoted(top.text)}")


def zone_names(design: Design) -> Breaches:
    """Each zone has a name of its own."""
    yield from unique(("site", "zone"), "name", (zone.name for zone in design.site.zones))
