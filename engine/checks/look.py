"""What every check looks at: the design, its compiled tree and how fast each run should be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from operator import attrgetter

from engine.air.one.network import Tree
from engine.catalog import Conveyed
from engine.catalog.limits import Limit
from engine.checks.rules import Measure
from engine.design import Design, Run, Stock, StockSize, bore_of, children_of, stock_sizes, system
from engine.design.from_catalog import speed_limits
from engine.design.meaning import Section, sections_of
from engine.design.places import PieceAt, PortAt, RunAt, ports_at, runs_at
from engine.space.geometry import Gap, Space, space_of
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


@dataclass(frozen=True, slots=True)
class Look:
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

    def piece_at(self, run: str, piece: int | None) -> RunAt | PieceAt:
        """The place of a piece of a run; that of the run itself for None."""
        return self.runs_at[run] if piece is None else PieceAt(self.runs_at[run].run, piece)

    def gap(self, run: Run) -> Gap | None:
        """The gap at the port a run ends at; None where there is no port, or one of them has no place."""
        return self.space.gaps.get(run.ends) if run.ends else None

    def show(self, value: float, dimension: str) -> str:
        """A value in the design's units."""
        return show(value, dimension, system(self.design))

    def beside(self, value: float, limit: float, dimension: str) -> tuple[str, str]:
        """A value and the limit that it is past, in the design's units."""
        return show_beside(value, limit, dimension, system(self.design))

    def measure(self, value: float, limit: float, dimension: str) -> tuple[Measure, str]:
        """A value that is past a limit, and the limit as it is told beside it."""
        told, limit_told = self.beside(value, limit, dimension)
        return Measure(value, limit, dimension, told), limit_told

    def about(self, limit: float, dimension: str, *, least: bool = False) -> str:
        """A limit in the design's units, rounded where nobody chose it in those: up for the `least` allowed."""
        return show_about(limit, dimension, system(self.design), least=least)


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
    return Look(
        design, tree, runs, sizes, children_of(design), sections, widest, narrowest, space, served, limits, ports,
        runs_at(design), ports_at(design),
    )  # fmt: skip


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


def _limits(load: Conveyed, kind: str) -> Limits:
    return Limits(load.slow_main if kind == "main" else load.slow_branch, load.settles, load.fast, kind)


def outer_radius(run: Run, sizes: Mapping[str, tuple[Stock, StockSize]]) -> float:
    """Radius of the outside of a run's pipe, m: that of its bore where the outside is not known."""
    size = None if run.size is None else sizes[run.size][1]
    return (size.outside.si if size and size.outside else bore_of(run, sizes)) / 2
