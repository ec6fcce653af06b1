"""One run by itself, for the checks that look at nothing else: what they found of it stays with it while it is the same."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import field
from functools import cached_property
from math import inf
from operator import attrgetter
from typing import Any, NamedTuple

from engine.checks.alone import Found, OfLook, Telling, of_each
from engine.design import Design, Gate, Hose, Machine, OwnLimit, Port, Run, Site, Stock, StockSize, Zone, bore_of, ports_of, system
from engine.design.kept import ROWS, WHOLES, kept
from engine.design.meaning import Section, sections_of
from engine.design.model import in_the_way
from engine.design.places import PieceAt, Place, RunAt
from engine.shapes.clearance import Box, Spot, sides, wider
from engine.space.geometry import Gap, Space, Way
from engine.values import dataclass

_bore = attrgetter("bore")


class Wall(NamedTuple):
    """A wall from corner to corner, and how far it goes, m."""

    one: Spot
    other: Spot
    west: float
    south: float
    east: float
    north: float


@dataclass(frozen=True)
class Ground:
    """What the checks of one run look at beside it: the shop's own limits, its units, its site and its stocked sizes."""

    limits: tuple[OwnLimit, ...]
    units: str
    site: Site
    sizes: Mapping[str, tuple[Stock, StockSize]]

    @cached_property
    def corners(self) -> list[Spot]:
        """The corners of the room."""
        return corners_of(self.site)

    @cached_property
    def walls(self) -> list[Wall]:
        """The walls of the room."""
        return [Wall(a, b, min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])) for a, b in sides(self.corners)]

    @cached_property
    def zones(self) -> list[tuple[Zone, Box]]:
        """The zones that ducts have to mind, each with its box, up to the ceiling where it says nothing else."""
        ceiling = self.site.height.si if self.site.height else inf
        return [(zone, _box_of(zone, ceiling)) for zone in in_the_way(self.site.zones)]


@dataclass(frozen=True)
class Made(Telling):
    """One run as it is made, with all that the checks of that alone look at: the same object for as long as all of it is the same.

    `machine` is that of the port it leads to. `found` is what checks have found of it.
    """

    ground: Ground
    at: int
    run: Run
    machine: Machine | None
    port: Port | None
    found: dict[object, tuple[Any, ...]] = field(default_factory=dict, compare=False, repr=False)

    @property
    def units(self) -> str:
        """ "metric" or "imperial"."""
        return self.ground.units

    def name_of(self, _place: Place) -> str:
        """The name that a finding gives a place of it: its own."""
        return self.run.id

    def place(self, piece: int | None = None) -> RunAt | PieceAt:
        """The place of one of its pieces; its own for None."""
        return RunAt(self.at) if piece is None else PieceAt(self.at, piece)

    @cached_property
    def radius(self) -> float:
        """Radius of the outside of its pipe, m: that of its bore where the outside is not known."""
        size = self.ground.sizes[self.run.size][1] if self.run.size else None
        return (size.outside.si if size and size.outside else bore_of(self.run, self.ground.sizes)) / 2

    @cached_property
    def sections(self) -> tuple[Section, ...]:
        """The bores that its air passes."""
        return sections_of(self.run, self.ground.sizes)

    @cached_property
    def widest(self) -> Section:
        """Where its air is slowest."""
        return max(self.sections, key=_bore)

    @cached_property
    def narrowest(self) -> Section:
        """Where its air is fastest."""
        return min(self.sections, key=_bore)

    @cached_property
    def gates(self) -> tuple[int, ...]:
        """Indices of its gates."""
        return tuple([i for i, piece in enumerate(self.run.pieces) if isinstance(piece, Gate)])

    @cached_property
    def hoses(self) -> tuple[tuple[int, Hose], ...]:
        """Its hoses, by index of the piece."""
        return tuple([(i, piece) for i, piece in enumerate(self.run.pieces) if isinstance(piece, Hose)])

    @cached_property
    def of(self) -> frozenset[str]:
        """The stocks it is of, its hoses too, and its material where it names no size."""
        run, sizes = self.run, [self.run.size, *(hose.size for _, hose in self.hoses)]
        return frozenset([self.ground.sizes[size][0].id for size in sizes if size] + ([run.material] if run.size is None and run.material else []))


class Hung(NamedTuple):
    """One run as it hangs: as it is made, its way in space, the gap at its port, and the box that its pipe fills, None where it has no place.

    `found` is what checks have found of it.
    """

    made: Made
    way: Way
    gap: Gap | None
    box: Box | None
    found: dict[object, tuple[Any, ...]]


def all_made(design: Design, sizes: Mapping[str, tuple[Stock, StockSize]]) -> tuple[Made, ...]:
    """The runs of a design as they are made, in file order."""
    ground, ports = _ground(design.limits, system(design), design.site, sizes), ports_of(design)
    return tuple([_made(ground, at, run, *(ports[run.ends] if run.ends else (None, None))) for at, run in enumerate(design.runs)])


@kept(WHOLES)
def _ground(limits: tuple[OwnLimit, ...], units: str, site: Site, sizes: Mapping[str, tuple[Stock, StockSize]]) -> Ground:
    return Ground(limits, units, site, sizes)


@kept(ROWS)
def _made(ground: Ground, at: int, run: Run, machine: Machine | None, port: Port | None) -> Made:
    return Made(ground, at, run, machine, port)


@kept(ROWS)
def _hung(made: Made, way: Way, gap: Gap | None) -> Hung:
    lines = way.box
    return Hung(made, way, gap, wider(lines, made.radius) if lines else None, {})


@kept(WHOLES)
def all_hung(made: tuple[Made, ...], space: Space) -> tuple[Hung, ...]:
    """The runs as they hang."""
    return tuple([_hung(one, space.ways[one.run.id], space.gaps.get(one.run.ends or "")) for one in made])


def of_made(check: Callable[[Made], Iterator[Found]]) -> OfLook[Found]:
    """The check of all runs that one of a run as it is made makes. It does not look twice at what has stayed the same."""
    return of_each(check, lambda look: look.made)


def of_hung(check: Callable[[Hung], Iterator[Found]]) -> OfLook[Found]:
    """The check of all runs that one of a run as it hangs makes. It does not look twice at what has stayed the same."""
    return of_each(check, lambda look: look.hung)


def _box_of(zone: Zone, ceiling: float) -> Box:
    low, high = zone.bottom.si if zone.bottom else 0.0, zone.top.si if zone.top else ceiling
    return Box((zone.west.si, zone.south.si, low), (zone.east.si, zone.north.si, high))


def corners_of(site: Site) -> list[Spot]:
    """The corners of a room, none where it has no walls that are known."""
    return [(corner.east.si, corner.north.si) for corner in site.room]
