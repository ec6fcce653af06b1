"""The sizes that each run of a design may have.

A choice is a tuple, for every run in tree order the index of one of its
options.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property

from engine.air.one.network import Tree, compile_tree, ports_for
from engine.checks.look import Look, look_at
from engine.design import Design, GateSet, Run, bore_of, gate_sets_of
from engine.design.meaning import SAME_BORE, stays
from engine.edits.resizing import resized
from engine.values import dataclass

Choice = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Option:
    """One size a run may have: its reference, None for the bore the run has; its bore, m; the run made of it."""

    ref: str | None
    bore: float
    run: Run


@dataclass(frozen=True)
class Choices:
    """Sizes to choose from, by run in tree order, narrowest first. `open` are the ports that each gate set opens."""

    design: Design
    look: Look
    open: tuple[tuple[str, ...], ...]
    options: tuple[tuple[Option, ...], ...]

    @property
    def tree(self) -> Tree:
        """The network of the design as it is."""
        return self.look.tree

    @cached_property
    def sets(self) -> tuple[GateSet, ...]:
        """The gate sets."""
        return gate_sets_of(self.design)

    @cached_property
    def runs(self) -> tuple[str, ...]:
        """Every run's id."""
        return tuple(duct.run for duct in self.tree.runs)

    @cached_property
    def parent(self) -> tuple[int, ...]:
        """The run that each run joins; -1 for the collector."""
        return tuple(duct.parent for duct in self.tree.runs)

    @cached_property
    def children(self) -> tuple[tuple[int, ...], ...]:
        """The runs that join each run."""
        return tuple(tuple(kid for kid in kids if kid < len(self.runs)) for kids in self.tree.children[: len(self.runs)])

    @cached_property
    def idle(self) -> frozenset[int]:
        """Runs through which no gate set draws."""
        used = {i for ports in self.open for port in ports for i in self.way_to(port)}
        return frozenset(i for i in range(len(self.runs)) if i not in used)

    @property
    def leaks(self) -> bool:
        """Whether walls or shut gates let air in."""
        return bool(self.tree.leaks or self.tree.shut_gate)

    @property
    def stays(self) -> list[str]:
        """The idle runs that have no choice of sizes."""
        return [self.runs[i] for i in sorted(self.idle) if len(self.options[i]) == 1]

    def inward(self, i: int) -> Sequence[int]:
        """A run and those between it and the collector."""
        return self._ways[0][i]

    def outward(self, i: int) -> Sequence[int]:
        """A run and all beyond it."""
        return self._ways[1][i]

    @cached_property
    def _ways(self) -> tuple[list[tuple[int, ...]], list[tuple[int, ...]]]:
        """Of each run, the runs inward and outward of it, itself the first."""
        inward: list[tuple[int, ...]] = []
        outward: list[list[int]] = [[i] for i in range(len(self.runs))]
        for i, parent in enumerate(self.parent):
            inward.append((i, *(inward[parent] if parent >= 0 else ())))
        for found in outward:
            for run in found:
                found.extend(self.children[run])
        return inward, [tuple(found) for found in outward]

    @cached_property
    def _bores(self) -> list[list[float]]:
        """Bores of every run's options, m."""
        return [[option.bore for option in own] for own in self.options]

    def way_to(self, port: str) -> Sequence[int]:
        """The runs from a port to the collector."""
        return self.inward(self.tree.leaf_of[port])

    def today(self) -> Choice:
        """The choice nearest to the design as it is, made to widen nowhere outward."""
        return self.narrow([_nearest(own, duct.bore) for own, duct in zip(self.options, self.tree.runs, strict=True)])

    def largest(self) -> Choice:
        """The widest sizes of which none widens outward."""
        return self.narrow([len(own) - 1 for own in self.options])

    def narrow(self, choice: Sequence[int]) -> Choice:
        """The choice with every run no wider than the one it joins, where it has such a size."""
        made, bores = list(choice), self._bores
        for i, parent in enumerate(self.parent):
            if parent >= 0:
                own, most = bores[i], bores[parent][made[parent]] + SAME_BORE
                while made[i] and own[made[i]] > most:
                    made[i] -= 1
        return tuple(made)

    def widen(self, choice: Sequence[int]) -> Choice:
        """The choice with every run no narrower than those that join it, where it has such a size."""
        made, bores, parents = list(choice), self._bores, self.parent
        for i in range(len(made) - 1, -1, -1):
            parent = parents[i]
            if parent >= 0:
                least, inner = bores[i][made[i]] - SAME_BORE, bores[parent]
                while inner[made[parent]] < least and made[parent] + 1 < len(inner):
                    made[parent] += 1
        return tuple(made)

    def least_to_join(self, i: int, k: int) -> float:
        """The least bore of what a run of a size may join, m: its own; for its narrowest size no more than that other run can have."""
        bore = self.options[i][k].bore
        return bore if k else min(bore, self.options[self.parent[i]][-1].bore)

    def widenings(self, choice: Choice) -> int:
        """How many runs are wider than the one they join, where that can be helped."""
        return sum([self._too_wide[i][k][choice[parent]] for i, (k, parent) in enumerate(zip(choice, self.parent, strict=True)) if parent >= 0])

    @cached_property
    def _too_wide(self) -> list[list[list[bool]]]:
        """Whether a run in an option is wider than the one it joins in one of its, where that can be helped."""
        return [
            [[self.least_to_join(i, k) > bore + SAME_BORE for bore in self._bores[parent]] for k in range(len(own))] if parent >= 0 else []
            for i, (own, parent) in enumerate(zip(self.options, self.parent, strict=True))
        ]  # fmt: skip

    def inner_bore(self, i: int, choice: Sequence[int]) -> float:
        """Bore of what a run joins, m."""
        parent = self.parent[i]
        return self.design.collector.inlet.si if parent < 0 else self.options[parent][choice[parent]].bore

    def design_of(self, choice: Choice) -> Design:
        """The design with these sizes."""
        runs = {run: own[k].run for run, own, k in zip(self.runs, self.options, choice, strict=True)}
        return replace(self.design, runs=tuple(runs[run.id] for run in self.design.runs))

    def with_idle_narrow(self) -> Choices:
        """The same, but with runs through which no gate set draws as narrow as can be."""
        options = tuple(stocked_options(self.look, run)[:1] if i in self.idle else self.options[i] for i, run in enumerate(self.runs))
        return replace(self, options=options)


def choices_of(design: Design) -> Choices:
    """The sizes that a consistent design may have.

    A run through which no gate set draws keeps its own, unless it is wider
    than what it joins.
    """
    tree = compile_tree(design)
    look = look_at(design, tree)
    opened = tuple(ports_for(tree, gate_set.open) for gate_set in gate_sets_of(design))
    bare = Choices(design, look, opened, ())
    options = []
    for i, (run, parent) in enumerate(zip(bare.runs, bare.parent, strict=True)):
        fits = parent < 0 or tree.runs[i].bore <= tree.runs[parent].bore + SAME_BORE
        options.append((_option(look, look.runs[run]),) if i in bare.idle and fits else stocked_options(look, run))
    return replace(bare, options=tuple(options))


def stocked_options(look: Look, run_id: str) -> tuple[Option, ...]:
    """The sizes the store has of a run's stock, by bore; of bores alike the cheaper; a run that is kept, or of no stocked size, keeps its bore."""
    run = look.runs[run_id]
    if run.size is None or stays(run):
        return (_option(look, run),)
    stock, own = look.sizes[run.size]
    offered = [size for size in stock.sizes if size.in_store is not False] or [own]
    found: dict[float, Option] = {}
    for size in sorted(offered, key=lambda size: (size.bore.si, size.price or 0.0), reverse=True):
        found[round(size.bore.si, 5)] = _option(look, resized(look.design, run, f"{stock.id}/{size.nominal}"))
    return tuple(found[bore] for bore in sorted(found))


def _option(look: Look, run: Run) -> Option:
    return Option(run.size, bore_of(run, look.sizes), run)


def _nearest(options: Sequence[Option], bore: float) -> int:
    return min(range(len(options)), key=lambda k: abs(options[k].bore - bore))
