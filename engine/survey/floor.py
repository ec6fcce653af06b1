"""The floor of a shop as it is measured: in two numbers, or corner after corner."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from engine.design import Body, Corner, Machine, Site
from engine.design.entries import entries
from engine.design.typed import BadValue, read_figure
from engine.shapes.clearance import Spot, inside, touch
from engine.survey.breath import sizes_of, spot_apart, words_of
from engine.units import Quantity, make


def read_floor(text: str, units: str) -> tuple[Corner, ...]:
    """The corners of a floor: "7 x 4" from the corner that is 0, 0 eastward and northward, or "0, 0; 7, 0; 7, 4; 0, 4". Raises BadValue."""
    if ";" in text:
        return tuple(read_corner(part, units) for part in text.split(";") if part.strip())
    words = spot_apart(text)
    parts = sizes_of(words[0]) if len(words) == 1 else words
    if len(parts) != 2:
        raise BadValue(f"wanted the floor eastward and northward, as {'7 x 4' if units == 'metric' else '24 x 16'}, or its corners with ; between")
    table = entries(Corner)
    east, north = (read_figure(table[way], part, units) for way, part in zip(("east", "north"), parts, strict=True))
    if min(east.si, north.si) <= 0.0:
        raise BadValue("wanted two lengths above 0")
    none = make(0.0, "length", units)
    return tuple(Corner(east=x, north=y) for x, y in ((none, none), (east, none), (east, north), (none, north)))


def read_corner(text: str, units: str) -> Corner:
    """A corner from how far east and how far north it is. Raises BadValue."""
    east, north, up = read_place(text, units)
    if up:
        raise BadValue(f"wanted two figures, as {spot_example(units)}")
    return Corner(east=east, north=north)


def read_place(text: str, units: str) -> tuple[Quantity, Quantity, Quantity | None]:
    """East, north and, where it is said, up, from "2.4, 3.1" or "2.4, 3.1, 0.9". Raises BadValue."""
    parts = spot_apart(text)
    if len(parts) not in (2, 3):
        raise BadValue(f"wanted how far east and how far north, as {spot_example(units)}")
    table = entries(Machine)
    east, north, *up = (read_figure(table[way], part, units) for way, part in zip(("east", "north", "up"), parts, strict=False))
    return east, north, up[0] if up else None


def read_body(text: str, units: str) -> Body:
    """The room a thing takes, from "1.1 x 0.6" or "1.1 x 0.6 x 0.9"; none of an empty text. Raises BadValue."""
    if not text.strip():
        return Body()
    words = words_of(text)
    parts = sizes_of(words[0]) if len(words) == 1 else words
    if len(parts) not in (2, 3):
        raise BadValue(f"wanted east and north, and if known its height, as {'1.1 x 0.6 x 0.9' if units == 'metric' else '4 x 2 x 3'}")
    return Body(**{way: read_figure(entry, part, units) for (way, entry), part in zip(entries(Body).items(), parts, strict=False)})


def crossing(room: Sequence[Corner]) -> str:
    """Which wall, on the way from the first corner to the last one, meets an earlier one, in words; "" for none."""
    spots = [(corner.east.si, corner.north.si) for corner in room]
    way = list(pairwise(spots))
    for i, (a, b) in enumerate(way):
        if a == b:
            return f"corner {i + 2} is where corner {i + 1} is"
        met = next((j for j in range(i - 1) if touch(a, b, *way[j])), None)
        if met is not None and not (met == 0 and b == spots[0]):
            return f"the wall from corner {i + 1} crosses the one from corner {met + 1}"
    return ""


def spot_example(units: str) -> str:
    """A spot as it may be typed."""
    return "2.4, 3.1" if units == "metric" else "12ft 6in, 8"


def floor_text(room: Sequence[Corner]) -> str:
    """Corners as `read_floor` takes them."""
    easts, norths = {corner.east.si for corner in room}, {corner.north.si for corner in room}
    if len(room) == 4 and is_rectangle(room) and min(easts) == min(norths) == 0.0:
        return f"{room[2].east.text} x {room[2].north.text}"
    return "; ".join(f"{corner.east.text}, {corner.north.text}" for corner in room)


def is_rectangle(room: Sequence[Corner]) -> bool:
    """Whether the corners are those that two numbers give."""
    spots = [(corner.east.si, corner.north.si) for corner in room]
    return len(room) == 4 and spots[0] == (0.0, 0.0) and spots == [(0.0, 0.0), (spots[2][0], 0.0), spots[2], (0.0, spots[2][1])]


def outside(site: Site, spot: Spot) -> bool:
    """Whether a spot is outside the walls, where these are known."""
    corners = [(corner.east.si, corner.north.si) for corner in site.room]
    return len(corners) > 2 and not inside(spot, corners)
