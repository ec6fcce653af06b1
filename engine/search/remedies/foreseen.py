"""Which trials nobody would offer, told by their air alone before any finding is made: most trials end there.

The gate sets of many trials are solved at once. What their flows make worse,
by the limits of the findings, all that is found beside it makes worse: a trial
is out where something that matters is worse and no fewer faults are left for
another change to build on. What cannot be told so is not out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

import numpy as np

from engine.air.gate_sets import same_answer, throttled_in
from engine.air.many.losses import Array
from engine.air.many.newton import ways_of
from engine.air.many.shape import Bools
from engine.air.many.solving import Ask, flows_of
from engine.air.one.ducts import area
from engine.air.one.network import Tree, ports_for
from engine.checks.assess import Assessment
from engine.checks.conditions import mains
from engine.checks.rules import limit
from engine.design import Design, GateSet, gate_sets_of, stock_sizes
from engine.design.from_catalog import speed_limits
from engine.design.meaning import sections_of
from engine.search.proposals import Standing
from engine.search.remedies.effect import FIT, NO_LOSS, TOLD, count, grave, slowest_settling

# A share of a limit: what is nearer to it is left to the findings. Flows solved together and alone differ by less.
_SURE = 1e-6


class Made(NamedTuple):
    """The design that a trial makes, and its network."""

    design: Design
    tree: Tree


class _Air(NamedTuple):
    """What air does in many trials: the flow of every run, m3/s, and whether it carries, (runs, trials, sets); of every port whether it is
    open, and what it gets of its need where it works, else not a number, (ports, trials, sets)."""  # fmt: skip

    flow: Array
    carries: Bools
    opened: Bools
    share: Array


class Foresight:
    """Trials on the design of one assessment, whose standing `was` is."""

    def __init__(self, before: Assessment, was: Standing) -> None:
        tree, names = before.tree, [result.gate_set.name for result in before.sets]
        self.before, self.was, self._names = before, was, names
        self._known = {result.gate_set: result for result in before.sets}
        self._ports, self._leaves = tuple(tree.leaf_of), list(tree.leaf_of.values())
        self._faults = count([found for found in before.findings if found.code not in FIT], "fault")
        self._spread = before.spread("fault")
        settling, bad, main = slowest_settling(before), set(grave(before)), mains(before.design.runs)
        fast = {(found.where, found.gate_set) for found in before.findings if found.code == "fast-run"}
        self._settling = np.array([settling.get(name, 0.0) for name in names])
        runs = [duct.run for duct in tree.runs]
        self._slow = _table(runs, names, lambda run, name: (("slow-run", main[run]), name) in bad)
        self._fast = _table(runs, names, lambda run, name: (run, name) in fast)
        self._starved = _table(self._ports, names, lambda port, name: (("starved-machine", port), name) in bad)
        self._blown_back = _table(self._ports, names, lambda port, name: (("blow-back", port), name) in bad)

    def ruled_out(self, trials: Sequence[Made]) -> list[bool]:
        """Of each trial, whether it neither helps nor half helps, whatever else it does."""
        alike = [at for at, made in enumerate(trials) if self._is_alike(made)]
        found = [False] * len(trials)
        if alike:
            for at, out in zip(alike, self._out([trials[at] for at in alike]).tolist(), strict=True):
                found[at] = out
        return found

    def _is_alike(self, made: Made) -> bool:
        """Whether runs, mains, ports, gates and names of gate sets are those of the design before."""
        design, tree, before = made.design, made.tree, self.before
        return (
            tree.children is before.tree.children and tree.index is before.tree.index and tree.gates_to is before.tree.gates_to
            and [one.name for one in gate_sets_of(design)] == self._names and mains(design.runs) == mains(before.design.runs)
        )  # fmt: skip

    def _out(self, trials: Sequence[Made]) -> Bools:
        """Of each trial of a kind, whether it is out."""
        air = self._air(trials)
        load = speed_limits(self.before.design.conveying)
        widest, narrowest = self._sections(trials)
        speed = (1.0 + _SURE) * air.flow / widest[..., None]
        settles = air.carries & (speed < load.settles.least)
        fast = air.carries & ((1.0 - _SURE) * air.flow / narrowest[..., None] > load.fast.most)
        blown = air.opened & (air.flow[self._leaves] <= 0.0)
        starved = ~blown & ((1.0 + _SURE) * air.share < limit(self.before.design, "starved-machine", "tolerance"))
        faults = sum(fault.sum(axis=(0, 2)) for fault in (settles, blown, starved))
        worse = [_new(settles, self._slow), _new(fast, self._fast), _new(blown, self._blown_back), _new(starved, self._starved)]
        slowest: Array = np.where(settles, speed / load.settles.value, np.inf).min(axis=0)
        worse.append((slowest < (1.0 - TOLD) * self._settling).any(axis=1))
        if self.was.share is not None:
            least = np.nanmin(air.share, axis=(0, 2), initial=np.inf)
            worse.append(least + _SURE < min(self.was.share, 1.0) - NO_LOSS)
        if not self.before.design.accepted:
            worse.append(faults > self._spread)
        balanced = ~np.isnan(air.flow).any(axis=(0, 2))
        return balanced & (faults >= self._faults) & np.any(worse, axis=0)

    def _air(self, trials: Sequence[Made]) -> _Air:
        tree, flow = self.before.tree, self._flows(trials)
        opened, working, needs = (np.zeros((len(self._ports), *flow.shape[1:]), kind) for kind in (bool, bool, float))
        for at, made in enumerate(trials):
            needs[:, at] = np.array([[made.tree.ports[port].needs.si] for port in self._ports])
            for which, gate_set in enumerate(gate_sets_of(made.design)):
                opened[:, at, which], working[:, at, which] = self._ports_of(gate_set)
        of_ports = flow[self._leaves]
        ends = np.zeros((len(tree.ducts), *flow.shape[1:]), bool)
        ends[self._leaves] = opened & (of_ports > 0.0)
        carries = ways_of(tree, ends.reshape(len(ends), -1)).reshape(ends.shape)[: len(flow)]
        share = np.divide(of_ports, needs, out=np.full(needs.shape, np.nan), where=working & (needs > 0.0))
        return _Air(flow, carries & (flow > 0.0), opened, share)

    def _flows(self, trials: Sequence[Made]) -> Array:
        """Of every run (runs, trials, sets); not a number where there is no balance."""
        before, runs = self.before.tree, len(self.before.tree.runs)
        flows = np.full((runs, len(trials), len(self._names)), np.nan)
        asks: list[Ask] = []
        places: list[tuple[int, int]] = []
        for at, (design, tree) in enumerate(trials):
            for which, gate_set in enumerate(gate_sets_of(design)):
                near = self._known.get(gate_set)
                balance = near and near.balance
                if near and balance and same_answer(near, tree, before):
                    flows[:, at, which] = balance.flows[:runs]
                    continue
                start = balance.flows if balance and not balance.blown_back and len(balance.flows) == len(tree.ducts) + 1 else None
                asks.append(Ask(tree, ports_for(tree, gate_set.open), throttled_in(gate_set), start))
                places.append((at, which))
        for (at, which), answer in zip(places, flows_of(asks), strict=True):
            if answer is not None:
                flows[:, at, which] = answer[:runs]
        return flows

    def _ports_of(self, gate_set: GateSet) -> tuple[Bools, Bools]:
        """Of each port whether it is open in a gate set, and whether its machine is at work and needs air."""
        ports = set(ports_for(self.before.tree, gate_set.open))
        opened = np.array([port in ports for port in self._ports], bool)
        return opened, opened & np.array([port.split("/")[0] in gate_set.open for port in self._ports], bool)

    def _sections(self, trials: Sequence[Made]) -> tuple[Array, Array]:
        """Where every run is widest and narrowest, m2, each (runs, trials)."""
        look, tree = self.before.look, self.before.tree
        known = [[area(each[duct.run].bore) for duct in tree.runs] for each in (look.widest, look.narrowest)]
        widest, narrowest = (np.repeat(np.array(one)[:, None], len(trials), axis=1) for one in known)
        for at, (design, _) in enumerate(trials):
            sizes = stock_sizes(design)
            for run, old in zip(design.runs, self.before.design.runs, strict=True):
                if run is not old:
                    bores = [section.bore for section in sections_of(run, sizes)]
                    row = tree.index[run.id]
                    widest[row, at], narrowest[row, at] = area(max(bores)), area(min(bores))
        return widest, narrowest


def _table(rows: Iterable[str], columns: Sequence[str], holds: Callable[[str, str], bool]) -> Bools:
    return np.array([[holds(row, column) for column in columns] for row in rows], bool)


def _new(found: Bools, known: Bools) -> Bools:
    """Of each trial, whether anything is found (rows, trials, sets) that is not `known` (rows, sets)."""
    new: Bools = (found & ~known[:, None]).any(axis=(0, 2))
    return new
