"""The shop: its air, its room, what stands in it."""

from __future__ import annotations

from collections.abc import Iterable

from engine.design import defaults
from engine.design.entries import POSITIVE, choice, number, quantity, rows, text
from engine.units import Quantity
from engine.values import dataclass

# Where the collector may stand: the middle of its inlet, and nothing that ducts have to mind.
COLLECTOR_PLACE = "collector place"
ZONE_KINDS = ("post", "door", "keep clear", "window", "bench", "open door", COLLECTOR_PLACE)
MAINS = ("overhead", "under benches", "any")


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """How much room a thing on the floor takes, seen along the axes; it counts where all three are given."""

    east: Quantity | None = quantity("east", "length", "of its body, from west to east", high=100.0, **POSITIVE)
    north: Quantity | None = quantity("north", "length", "of its body, from south to north", high=100.0, **POSITIVE)
    up: Quantity | None = quantity("up", "length", "its height above the floor", high=100.0, **POSITIVE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """A corner of the room's walls, seen from above."""

    east: Quantity = quantity("east", "length", "of the corner, eastward", required=True, low=-1000.0, high=1000.0)
    north: Quantity = quantity("north", "length", "of the corner, northward", required=True, low=-1000.0, high=1000.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A box in the room that ducts have to do with: a post, a door, a bench, a place to keep clear."""

    name: str = text("name", "what it is", required=True)
    kind: str | None = choice(
        "kind", ZONE_KINDS,
        "a post, a door, the box an open door sweeps, a window, a bench, a place no duct may cross, or one where the collector's inlet may be",
        absent=defaults.ZONE_KIND,
    )  # fmt: skip
    west: Quantity = quantity("west", "length", "its western side, eastward", required=True, low=-1000.0, high=1000.0)
    east: Quantity = quantity("east", "length", "its eastern side, eastward", required=True, low=-1000.0, high=1000.0)
    south: Quantity = quantity("south", "length", "its southern side, northward", required=True, low=-1000.0, high=1000.0)
    north: Quantity = quantity("north", "length", "its northern side, northward", required=True, low=-1000.0, high=1000.0)
    bottom: Quantity | None = quantity("bottom", "length", "its lower side above the floor", low=-50.0, high=100.0, absent="the floor")
    top: Quantity | None = quantity("top", "length", "its upper side above the floor", low=-50.0, high=100.0, absent="the ceiling")


def in_the_way(zones: Iterable[Zone]) -> tuple[Zone, ...]:
    """The zones that ducts have to mind."""
    return tuple(zone for zone in zones if zone.kind != COLLECTOR_PLACE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """The shop: its air, its room."""

    altitude: Quantity | None = quantity("altitude", "length", "height above sea level", low=-430.0, high=5000.0, absent=defaults.ALTITUDE)
    temperature: Quantity | None = quantity(
        "temperature", "temperature", "of the air in the shop", low=233.15, high=333.15, absent=defaults.TEMPERATURE
    )
    humidity: float | None = number("humidity", "relative humidity, 0 to 1", low=0.0, high=1.0, absent=defaults.HUMIDITY)
    height: Quantity | None = quantity("height", "length", "of the ceiling above the floor", high=100.0, **POSITIVE)
    mains: str | None = choice("mains", MAINS, "where mains may hang", absent=defaults.MAINS)
    main_lowest: Quantity | None = quantity(
        "main_lowest", "length", "lowest height of mains above the floor", low=-50.0, high=100.0, absent="above the headroom"
    )
    main_highest: Quantity | None = quantity(
        "main_highest", "length", "greatest height of mains above the floor", low=-50.0, high=100.0, absent="tight under the ceiling"
    )
    headroom: Quantity | None = quantity(
        "headroom", "length", "height to keep free where people walk", high=10.0, **POSITIVE, absent=defaults.HEADROOM
    )
    joists: str | None = choice("joists", ("east-west", "north-south"), "the way the joists of the ceiling run")
    make_up_opening: Quantity | None = quantity(
        "make_up_opening", "area", "free opening through which air blown outside comes in again", high=100.0, **POSITIVE
    )
    room: tuple[Corner, ...] = rows("room", Corner, "the walls, corner after corner", inline=True)
    zones: tuple[Zone, ...] = rows("zone", Zone, "posts, doors, windows, benches, places to keep clear")
