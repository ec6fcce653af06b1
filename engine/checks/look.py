"""What every check looks at: the design, its compiled tree and how fast each run should be."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property, wraps
from operator import attrgetter
from typing import NamedTuple

from engine.air.one.network import Tree
from engine.catalog import Conveyed
from engine.catalog.limits import Limit
from engine.checks.rules import Finding, Measure
from engine.design import Design, Hose, Machine, OwnLimit, Port, Run, Site, Stock, StockSize, bore_of, children_of, ports_of, stock_sizes, system
from engine.design.from_catalog import speed_limits
from engine.design.kept import ROWS, WHOLES, kept
from engine.design.meaning import Section, sections_of
from engine.design.names import label
from engine.design.places import PieceAt, Place, PortAt, RunAt, ports_at, runs_at
from engine.space.geometry import Gap, Space, Way, space_of
from engine.units import show, show_about, show_beside

_bore = attrgetter("bore")


@dataclass(frozen=True, slots=True)
class Limits:
    """Speeds of a run, m/s, each with its source: slow and fast bound the good band, below settles the load stays behind.

    `kind` is "main" for a run that serves several ports, but "riser" where
    its air climbs, else "branch".
    """

    slow: Limit
    settles: Limit
    fast: Limit
    kind: str


class Telling:
    """Values as they are told in the `units` of a design."""

    __slots__ = ()

    @property
    def units(self) -> str:
        """ "metric" or "imperial"."""
        raise NotImplementedError

    def show(self, value: float, dimension: str) -> str:
        """A value in the design's units."""
        return show(value, dimension, self.units)

    def beside(self, value: float, limit: float, dimension: str) -> tuple[str, str]:
        """A value and the limit that it is past, in the design's units."""
        return show_beside(value, limit, dimension, self.units)

    def measure(self, value: float, limit: float, dimension: str) -> tuple[Measure, str]:
        """A value that is past a limit, and the limit as it is told beside it."""
        told, limit_told = self.beside(value, limit, dimension)
        return Measure(value, limit, dimension, told), limit_told

    def about(self, limit: float, dimension: str, *, least: bool = False) -> str:
        """A limit in the design's units, rounded where nobody chose it in those: up for the `least` allowed."""
        return show_about(limit, dimension, self.units, least=least)


@dataclass(frozen=True, slots=True)
class Ground:
    """What the checks of one run look at beside it: the shop's own limits, its units, its site and its stocked sizes."""

    limits: tuple[OwnLimit, ...]
    units: str
    site: Site
    sizes: Mapping[str, tuple[Stock, StockSize]]


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
    found: dict[object, tuple[Finding, ...]] = field(default_factory=dict, compare=False, repr=False)

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
        """Radius of the outside of its pipe, m."""
        return outer_radius(self.run, self.ground.sizes)

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
    """One run as it hangs: as it is made, its way in space and the gap at its port. `found` is what checks have found of it."""

    made: Made
    way: Way
    gap: Gap | None
    found: dict[object, tuple[Finding, ...]]


@dataclass(frozen=True, slots=True)
class Look(Telling):
    """A design ready to be checked.

    `served` counts the ports beyond each run; `children` are the runs that
    join each run or the collector. By run id: `sections`, the `widest` of
    them, where the air is slowest, the `narrowest`, where it is fastest, and `limits`.
    `runs_at` and `ports_at` are the places of runs and ports by their names.
    """

    design: Design
    tree: Tree
    runs: Mapping[str, Run]
    sizes: Mapping[str, tuple[Stock, StockSize]]
    children: Mapping[str, tuple[Run, ...]]
    sections: Mapping[str, tuple[Section, ...]]
    widest: Mapping[str, Section]
    narrowest: Mapping[str, Section]
    space: Space
    served: Mapping[str, int]
    limits: Mapping[str, Limits]
    ports_of_machine: Mapping[str, tuple[str, ...]]
    runs_at: Mapping[str, RunAt]
    ports_at: Mapping[str, PortAt]
    made: tuple[Made, ...]
    hung: tuple[Hung, ...]

    @property
    def units(self) -> str:
        """ "metric" or "imperial"."""
        return system(self.design)

    @property
    def ground(self) -> Design:
        """What holds the shop's own limits."""
        return self.design

    def name_of(self, place: Place) -> str:
        """The name that a finding gives a place: a piece goes by its run."""
        return self.design.runs[place.run].id if isinstance(place, PieceAt) else label(self.design, place)

    def piece_at(self, run: str, piece: int | None) -> RunAt | PieceAt:
        """The place of a piece of a run; that of the run itself for None."""
        return self.runs_at[run] if piece is None else PieceAt(self.runs_at[run].run, piece)

    def gap(self, run: Run) -> Gap | None:
        """The gap at the port a run ends at; None where there is no port, or one of them has no place."""
        return self.space.gaps.get(run.ends) if run.ends else None

    def sees_sets_as(self, before: Look) -> bool:
        """Whether all is the same that the checks of a gate set look at, but for runs."""
        here, there = self.design, before.design
        return (
            here.limits is there.limits and here.machines is there.machines and self.units == before.units
            and self.tree.fan is before.tree.fan and self.tree.leaf_of is before.tree.leaf_of and list(self.runs) == list(before.runs)
        )  # fmt: skip

    def sees_runs_as(self, before: Look, runs: Iterable[str]) -> bool:
        """Whether all is the same that the checks of a gate set look at of some runs."""
        return all(getattr(self, name)[run] is getattr(before, name)[run] for run in runs for name in ("limits", "widest", "narrowest"))


def look_at(design: Design, tree: Tree) -> Look:
    """Gather what the checks share."""
    served = _served(tree)
    space = space_of(design)
    load = speed_limits(design.conveying)
    bands = {kind: _limits(load, kind) for kind in ("main", "riser", "branch")}
    limits = {duct.run: bands[_kind(duct.run, served, space)] for duct in tree.runs}
    ports = {machine.id: tuple(f"{machine.id}/{port.id}" for port in machine.ports) for machine in design.machines}
    runs = {run.id: run for run in design.runs}
    sizes = stock_sizes(design)
    sections = {run.id: sections_of(run, sizes) for run in design.runs}
    widest = {run: max(found, key=_bore) for run, found in sections.items()}
    narrowest = {run: min(found, key=_bore) for run, found in sections.items()}
    made, gaps = _all_made(design, sizes), space.gaps
    hung = tuple([_hung(one, space.ways[one.run.id], gaps.get(one.run.ends or "")) for one in made])
    return Look(
        design, tree, runs, sizes, children_of(design), sections, widest, narrowest, space, served, limits, ports,
        runs_at(design), ports_at(design), made, hung,
    )  # fmt: skip


def _all_made(design: Design, sizes: Mapping[str, tuple[Stock, StockSize]]) -> tuple[Made, ...]:
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
    return Hung(made, way, gap, {})


def of_made(check: Callable[[Made], Iterator[Finding]]) -> Callable[[Look], Iterator[Finding]]:
    """The check of all runs that one of a run as it is made makes. It does not look twice at what has stayed the same."""

    @wraps(check)
    def of_all(look: Look) -> Iterator[Finding]:
        for made in look.made:
            if check not in made.found:
                made.found[check] = tuple(check(made))
            yield from made.found[check]

    return of_all


def of_hung(check: Callable[[Made, Way, Gap | None], Iterator[Finding]]) -> Callable[[Look], Iterator[Finding]]:
    """The check of all runs that one of a run as it hangs makes. It does not look twice at what has stayed the same."""

    @wraps(check)
    def of_all(look: Look) -> Iterator[Finding]:
        for made, way, gap, found in look.hung:
            if check not in found:
                found[check] = tuple(check(made, way, gap))
            yield from found[check]

    return of_all


def of_gaps(check: Callable[[Made, Gap], Iterator[Finding]]) -> Callable[[Look], Iterator[Finding]]:
    """The check of all gaps at ports that one of a gap and the run before it makes. It does not look twice at what has stayed the same."""

    @wraps(check)
    def of_all(look: Look) -> Iterator[Finding]:
        for made, _, gap, found in look.hung:
            if gap is not None:
                if check not in found:
                    found[check] = tuple(check(made, gap))
                yield from found[check]

    return of_all


def _kind(run: str, served: Mapping[str, int], space: Space) -> str:
    if served[run] <= 1:
        return "branch"
    return "riser" if run in space.climbing else "main"


def _served(tree: Tree) -> dict[str, int]:
    counts = [0] * len(tree.runs)
    for i in range(len(tree.runs) - 1, -1, -1):
        duct = tree.runs[i]
        counts[i] += duct.port is not None
        if duct.parent >= 0:
            counts[duct.parent] += counts[i]
    return {duct.run: count for duct, count in zip(tree.runs, counts, strict=True)}


@kept(ROWS)
def _limits(load: Conveyed, kind: str) -> Limits:
    return Limits(load.slow_main if kind == "main" else load.slow_branch, load.settles, load.fast, kind)


def outer_radius(run: Run, sizes: Mapping[str, tuple[Stock, StockSize]]) -> float:
    """Radius of the outside of a run's pipe, m: that of its bore where the outside is not known."""
    size = None if run.size is None else sizes[run.size][1]
    return (size.outside.si if size and size.outside else bore_of(run, sizes)) / 2
