"""What stands in the room as it is measured: doors, posts, windows, and what must stay free.

A door stands in a wall, so far from that wall's west end, or from its south
end where it runs north. Heights that are not said are ordinary ones.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from engine.design import Corner, Site, Zone
from engine.design.entries import entries
from engine.design.model import COLLECTOR_PLACE
from engine.design.names import fresh_name
from engine.design.typed import BadValue, read_figure
from engine.shapes.clearance import Spot
from engine.space.walls import Wall, walls_of
from engine.survey.breath import is_figure, is_size, sizes_of, spot_apart, words_of
from engine.survey.floor import outside, spot_example
from engine.units import Quantity, make, show
from engine.values import dataclass

# Common practice, no source: heights of doors, of a sill and a window's head, the thickness of a post, how much of the
# wall's inside a door or a window takes, and how far the rails of an open overhead door reach above its opening, m.
_DOOR, _SILL, _HEAD, _POST, _LEAF, _RAILS = 2.0, 0.9, 2.1, 0.15, 0.1, 0.4
_STAND = 0.5  # m, each way, where a collector may stand and nobody says how much room there is: judgement
_SWINGS = ("swing", "overhead", "outward", "sliding")
_SIDES = ("north", "south", "east", "west")
_TRIFLE = 1e-6


@dataclass(frozen=True, slots=True)
class Placed:
    """What one line says of the room: its boxes, and how it was understood."""

    zones: tuple[Zone, ...]
    told: str


def read_door(site: Site, text: str, units: str) -> Placed:
    """A door from its wall, how far along, how wide, how high, and how it opens: "south 1.2 0.9", "east 0.5 2.4 2.1 overhead".

    Shut it stands in its wall; open it is a box of its own. Raises BadValue.
    """
    words = _without(words_of(text), "door")
    wall, rest = _wall_of(site, words, "a door", f"south {'1.2 0.9' if units == 'metric' else '4 3'}", units)
    way = "swing"
    if rest and not is_figure(rest[-1]):
        way = next((known for known in _SWINGS[1:] + _SWINGS[:1] if known.startswith(rest[-1].lower())), "")
        if not way:
            raise BadValue(f"{rest[-1]!r}: wanted one of {', '.join(_SWINGS)}")
        rest = rest[:-1]
    (along, width), (height,) = _figures(rest, units, ("along", "width"), ("height",))
    _fits_wall(wall, along, width, "door", units)
    top = height.si if height else _DOOR
    if site.height and top > site.height.si + _TRIFLE:
        raise BadValue(f"a door {show(top, 'length', units)} high: the ceiling is at {site.height.text}")
    where = (along.si, along.si + width.si)
    zones = [_in_wall("door", "door", wall, where, _LEAF, (None, top), units)]
    if way == "swing":
        zones.append(_in_wall("door open", "open door", wall, where, width.si, (None, top), units))
    elif way == "overhead" and not (site.height and top >= site.height.si - _TRIFLE):
        over = top + _RAILS
        rails = None if site.height and over >= site.height.si else over
        zones.append(_in_wall("door open", "open door", wall, where, top, (top, rails), units))
    guess = "" if height else " (a guess)"
    return Placed(tuple(zones), f"{way} door {width.text} wide in the {_named(wall)}, {show(top, 'length', units)} high{guess}")


def read_post(site: Site, text: str, units: str) -> Placed:
    """A post from where its middle is and how thick it is: "4.5, 3", "4.5, 3 0.2 x 0.3". Raises BadValue."""
    words = spot_apart(text)
    east, north = _middle(site, words, "the middle of a post", units)
    rest = words[2:]
    parts = sizes_of(rest[0]) if rest else []
    thick = [read_figure(entries(Corner)["east"], part, units).si for part in parts] or [_POST]
    if len(rest) > 1 or len(thick) > 2 or min(thick) <= 0.0:
        raise BadValue(f"wanted how thick the post is, as {'0.2 or 0.2 x 0.3' if units == 'metric' else '6in or 6in x 8in'}")
    zone = _box("post", "post", (east.si, north.si), (thick[0], thick[-1]), (None, None), units)
    told = " x ".join(show(side, "length", units) for side in thick)
    return Placed((zone,), f"post {told}{'' if rest else ' (a guess)'} at {east.text}, {north.text}")


def read_free(site: Site, text: str, units: str) -> Placed:
    """A window in its wall, or a place to keep clear by its middle and its size.

    "south 3 1.2 0.9 2.1" or that with the word window: from 0.9 to 2.1 up; "stairs 5, 2 1 x 2";
    "bench 3, 0.4 2 x 0.7 x 0.9". Raises BadValue.
    """
    words = spot_apart(text)
    sized = next((at for at, word in enumerate(words) if is_size(word)), None)
    if sized is None:
        return _window(site, _without(words, "window"), units)
    first = next(at for at, word in enumerate(words) if is_figure(word))
    called = " ".join(words[:first]) or "clear place"
    spot = words[first:sized]
    east, north = _middle(site, spot, "the middle of the place", units)
    if len(words) > sized + 1 or len(spot) > 2:
        raise BadValue(f"wanted its middle and its size, as stairs {spot_example(units)} {'1 x 2' if units == 'metric' else '3 x 6'}")
    size = [read_figure(entries(Corner)["east"], part, units).si for part in sizes_of(words[sized])]
    if min(size) <= 0.0 or len(size) > 3:
        raise BadValue("wanted two or three lengths above 0")
    kind = "bench" if called.lower().startswith("bench") else "keep clear"
    top = size[2] if len(size) > 2 else None
    zone = _box(called, kind, (east.si, north.si), (size[0], size[1]), (None, top), units)
    height = f" to {show(top, 'length', units)} up" if top else " up to the ceiling"
    return Placed((zone,), f"{called}: kept clear{height}, around {east.text}, {north.text}")


def read_stand(site: Site, text: str, units: str) -> Placed:
    """A place where the collector may stand, by its middle and its size: "5, 0.6", "5, 0.6 2 x 0.8". Raises BadValue."""
    words = spot_apart(text)
    east, north = _middle(site, words, "the middle of the place", units)
    size = [read_figure(entries(Corner)["east"], part, units).si for part in sizes_of(words[2])] if len(words) > 2 else [_STAND, _STAND]
    if len(words) > 3 or len(size) != 2 or min(size) <= 0.0:
        raise BadValue(f"wanted its middle and its size, as {spot_example(units)} {'2 x 1' if units == 'metric' else '6 x 3'}")
    zone = _box(COLLECTOR_PLACE, COLLECTOR_PLACE, (east.si, north.si), (size[0], size[1]), (None, None), units)
    told = " x ".join(show(side, "length", units) for side in size)
    return Placed((zone,), f"its inlet may be within {told}{'' if len(words) > 2 else ' (a guess)'} around {east.text}, {north.text}")


def _window(site: Site, words: Sequence[str], units: str) -> Placed:
    wall, rest = _wall_of(site, words, "a window", f"south {'3 1.2' if units == 'metric' else '10 4'}", units)
    (along, width), (sill, head) = _figures(rest, units, ("along", "width"), ("sill", "head"))
    _fits_wall(wall, along, width, "window", units)
    low, high = sill.si if sill else _SILL, head.si if head else max(_HEAD, (sill.si if sill else 0.0) + _SILL)
    if low >= high:
        raise BadValue(f"a sill at {show(low, 'length', units)} and a head at {show(high, 'length', units)}: wanted the sill below")
    zone = _in_wall("window", "window", wall, (along.si, along.si + width.si), _LEAF, (low, high), units)
    guess = "" if sill and head else " (a guess)"
    levels = f"{show(low, 'length', units)} to {show(high, 'length', units)} up{guess}"
    return Placed((zone,), f"window {width.text} wide in the {_named(wall)}, {levels}")


def placed(site: Site, lines: Iterable[tuple[str, str]], units: str) -> Iterator[tuple[str, Placed | BadValue]]:
    """Question and line -> the question and what the line says of the room, its boxes named one after the other, or why it will not do."""
    taken: set[str] = set()
    for question, text in lines:
        try:
            found = READERS[question](site, text, units)
        except BadValue as reason:
            yield question, reason
            continue
        zones = []
        for zone in found.zones:
            zones.append(replace(zone, name=fresh_name(zone.name, taken)))
            taken.add(zones[-1].name)
        yield question, replace(found, zones=tuple(zones))


def with_zones(site: Site, lines: Iterable[tuple[str, str]], units: str) -> Site:
    """The site with the boxes of what was said of its room; lines that will not do are left out."""
    return replace(site, zones=tuple(zone for _, found in placed(site, lines, units) if isinstance(found, Placed) for zone in found.zones))


READERS = {"doors": read_door, "posts": read_post, "free": read_free, "place": read_stand}


# ---- parts of a line


def _without(words: Sequence[str], what: str) -> list[str]:
    """The words of a line without the name of what it is about, at either end."""
    return [word for at, word in enumerate(words) if word.lower() != what or 0 < at < len(words) - 1]


def _wall_of(site: Site, words: Sequence[str], what: str, example: str, units: str) -> tuple[Wall, list[str]]:
    """The wall that a line names, by its side or, where several stand there, side and number; and the rest of the line."""
    walls = walls_of([(corner.east.si, corner.north.si) for corner in site.room])
    if not walls:
        raise BadValue(f"the room first: {what} stands in one of its walls")
    side = next((side for side in _SIDES if words and side.startswith(words[0].lower())), None)
    there = [wall for wall in walls if wall.side == side]
    if len(there) == 1:
        return there[0], list(words[1:])
    found = next((wall for wall in there if words[1:2] == [wall.name.split()[-1]]), None)
    if found:
        return found, list(words[2:])
    if there:
        raise BadValue(f"which {side} wall? {'; '.join(_where(wall, units) for wall in there)}")
    raise BadValue(f"wanted a wall, how far along it and how wide, as {example}; there are {', '.join(wall.name for wall in walls)}")


def _where(wall: Wall, units: str) -> str:
    """A wall by the spots of its corners."""
    ends = " to ".join(", ".join(show(way, "length", units) for way in end) for end in _ends(wall))
    return f"{wall.name} is from {ends}"


def _figures(
    words: Sequence[str], units: str, wanted: Sequence[str], known: Sequence[str]
) -> tuple[list[Quantity], list[Quantity | None]]:  # fmt: skip
    """Lengths above 0, the first from 0: those wanted, and of those that may be known as many as there are words."""
    names = (*wanted, *known)
    if odd := next((word for word in words if not is_figure(word)), ""):
        raise BadValue(f"{odd!r}: wanted {', '.join(wanted)}, and if known {', '.join(known)}, all of them figures")
    if not len(wanted) <= len(words) <= len(names):
        raise BadValue(f"wanted {', '.join(wanted)}, and if known {', '.join(known)}")
    found = [read_figure(entries(Zone)["east"], word, units) for word in words]
    for name, value in zip(names, found, strict=False):
        if value.si < 0.0 or (value.si == 0.0 and name not in ("along", "sill")):
            raise BadValue(f"{name} of {value.text}: wanted more than 0")
    return found[: len(wanted)], found[len(wanted) :] + [None] * (len(names) - len(found))


def _fits_wall(wall: Wall, along: Quantity, width: Quantity, what: str, units: str) -> None:
    if along.si + width.si > wall.length + _TRIFLE:
        raise BadValue(f"a {what} {width.text} wide from {along.text} on: the {_named(wall)} is {show(wall.length, 'length', units)} long")


def _middle(site: Site, words: Sequence[str], what: str, units: str) -> tuple[Quantity, Quantity]:
    """The spot that a line begins with."""
    first = next((at for at, word in enumerate(words) if is_figure(word)), len(words))
    parts = words[first : first + 2]
    if len(parts) < 2:
        raise BadValue(f"wanted {what}, east and north, as {spot_example(units)}")
    east, north = (read_figure(entries(Corner)[way], part, units) for way, part in zip(("east", "north"), parts, strict=True))
    if outside(site, (east.si, north.si)):
        raise BadValue(f"{east.text}, {north.text} is outside the walls")
    return east, north


def _named(wall: Wall) -> str:
    return f"{wall.name} wall"


def _ends(wall: Wall) -> list[Spot]:
    """Its corners from the west or, of a wall that stands in the west or east, from the south: so it is measured along."""
    return sorted((wall.start, wall.end), key=lambda spot: spot[wall.side in ("west", "east")])


def _at(wall: Wall, along: float, inward: float) -> Spot:
    """The spot so far along a wall and so far into the room, m."""
    start, end = _ends(wall)
    share = along / wall.length
    east, north = (a + share * (b - a) + inward * way for a, b, way in zip(start, end, wall.inward, strict=True))
    return east, north


def _in_wall(
    name: str, kind: str, wall: Wall, where: tuple[float, float], depth: float, levels: tuple[float | None, float | None], units: str
) -> Zone:  # fmt: skip
    """The box along a stretch of a wall and so deep into the room; round a slanting one the box that holds it."""
    spots = [_at(wall, along, inward) for along in where for inward in (0.0, depth)]
    (west, east), (south, north) = ((min(way), max(way)) for way in zip(*spots, strict=True))
    return _zone(name, kind, (west, east, south, north), levels, units)


def _box(name: str, kind: str, middle: Spot, size: Spot, levels: tuple[float | None, float | None], units: str) -> Zone:
    (x, y), (wide, deep) = middle, size
    return _zone(name, kind, (x - wide / 2, x + wide / 2, y - deep / 2, y + deep / 2), levels, units)


def _zone(name: str, kind: str, sides_: Sequence[float], levels: tuple[float | None, float | None], units: str) -> Zone:
    west, east, south, north = (_length(value, units) for value in sides_)
    bottom, top = (None if value is None else _length(value, units) for value in levels)
    return Zone(name=name, kind=kind, west=west, east=east, south=south, north=north, bottom=bottom, top=top)


def _length(si: float, units: str) -> Quantity:
    """A length as its text says it."""
    return make(si, "length", units)
