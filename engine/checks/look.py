"""What every check looks at: the design, its compiled tree and how fast each run should be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from engine.air.one.network import Tree
from engine.catalog import Conveyed
from engine.catalog.limits import Limit
from engine.checks.alone import OfDesign
from engine.checks.one_run import Hung, Made, all_hung, all_made
from engine.checks.shop import Shop, shop_of
from engine.design import Design, Run, Stock, StockSize, children_of, stock_sizes
from engine.design.from_catalog import speed_limits
from engine.design.kept import ROWS, kept
from engine.design.meaning import Section
from engine.design.names import label
from engine.design.places import PieceAt, Place, PortAt, RunAt, ports_at, runs_at
from engine.space.geometry import Gap, Space, space_of
from engine.values import dataclass


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
class Look(OfDesign):
    """A design ready to be checked.

    `served` counts the ports beyond each run; `children` are the runs that
    join each run or the collector. By run id: the `widest` section, where the
    air is slowest, the `narrowest`, where it is fastest, and `limits`.
    `runs_at` and `ports_at` are the places of runs and ports by their names.
    `made` are the runs for the checks of one alone, in file order, `shop` is all beside them.
    """

    design: Design
    tree: Tree
    runs: Mapping[str, Run]
    sizes: Mapping[str, tuple[Stock, StockSize]]
    children: Mapping[str, tuple[Run, ...]]
    widest: Mapping[str, Section]
    narrowest: Mapping[str, Section]
    space: Space
    served: Mapping[str, int]
    limits: Mapping[str, Limits]
    ports_of_machine: Mapping[str, tuple[str, ...]]
    runs_at: Mapping[str, RunAt]
    ports_at: Mapping[str, PortAt]
    made: tuple[Made, ...]
    shop: Shop

    @property
    def hung(self) -> tuple[Hung, ...]:
        """The runs as they hang, in file order."""
        return all_hung(self.made, self.space)

    def name_of(self, place: Place) -> str:
        """The name that a finding gives a place: a piece goes by its run."""
        return self.design.runs[place.run].id if isinstance(place, (RunAt, PieceAt)) else label(self.design, place)

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
    made = all_made(design, sizes)
    widest, narrowest = {one.run.id: one.widest for one in made}, {one.run.id: one.narrowest for one in made}
    return Look(
        design, tree, runs, sizes, children_of(design), widest, narrowest, space, served, limits, ports,
        runs_at(design), ports_at(design), made, shop_of(design, tree),
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


@kept(ROWS)
def _limits(load: Conveyed, kind: str) -> Limits:
    return Limits(load.slow_main if kind == "main" else load.slow_branch, load.settles, load.fast, kind)
