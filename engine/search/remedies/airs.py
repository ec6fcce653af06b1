"""The air of many trials at once: designs made from one another whose ducts meet alike, every gate set of each solved in one call."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from engine.air.gate_sets import same_answer, throttled_in
from engine.air.many.losses import Array
from engine.air.many.newton import ways_of
from engine.air.many.shape import Bools
from engine.air.many.solving import flows_of
from engine.air.one.asks import Ask
from engine.air.one.ducts import area
from engine.air.one.network import Tree, changed_runs, ports_for
from engine.checks.assess import Assessment
from engine.checks.conditions import mains
from engine.design import Design, GateSet, Port, gate_sets_of, stock_sizes
from engine.design.kept import WHOLES, kept
from engine.design.meaning import sections_of


class Made(NamedTuple):
    """The design that a trial makes, and its network."""

    design: Design
    tree: Tree


class Airs(NamedTuple):
    """The air of trials, arrays with the gate sets last, one trial's or with the trials before the sets; not a number where there is nothing to tell.

    Of runs that carry air, m/s: `slowest`, where they are widest, and `fastest`,
    where they are narrowest. Of ports: the `share` of its need that a machine at
    work gets there, and whether it is open and `blown` back. `balanced`, of one
    row, tells whether a gate set has an answer.
    """

    slowest: Array
    fastest: Array
    share: Array
    blown: Bools
    balanced: Bools

    def of(self, trial: int) -> Airs:
        """Those of one trial."""
        one = np.s_[:, trial, :]
        return Airs(self.slowest[one], self.fastest[one], self.share[one], self.blown[one], self.balanced[one])


def is_alike(made: Made, before: Assessment) -> bool:
    """Whether runs, mains, ports, gates and names of gate sets are those of the design before."""
    tree, old = made.tree, before.tree
    names = [[one.name for one in gate_sets_of(design)] for design in (made.design, before.design)]
    same = tree.children is old.children and tree.index is old.index and tree.gates_to is old.gates_to
    return same and names[0] == names[1] and mains(made.design.runs) == mains(before.design.runs)


def airs_of(trials: Sequence[Made], before: Assessment) -> Airs:
    """The air of trials that are alike: (runs or ports, trials, gate sets) by position in the tree and in the order of its ports."""
    tree, flow = before.tree, _flows(trials, before)
    leaves, (count, sets) = list(tree.leaf_of.values()), flow.shape[1:]
    needs = np.array([_needs(made.tree.ports, tree.leaf_of) for made in trials]).reshape(count, len(leaves)).T[..., None]
    ports = np.array([_ports_of(gate_sets_of(made.design), tree) for made in trials], bool).reshape(count, 2, len(leaves), sets)
    opened, at_work = ports.transpose(1, 2, 0, 3)
    of_ports = flow[leaves]
    ends = np.zeros((len(tree.ducts), *flow.shape[1:]), bool)
    ends[leaves] = opened & (of_ports > 0.0)
    carries = ways_of(tree, ends.reshape(len(ends), -1)).reshape(ends.shape)[: len(flow)] & (flow > 0.0)
    carried, (widest, narrowest) = np.where(carries, flow, np.nan), _sections(trials, before)
    share = np.divide(of_ports, needs, out=np.full(of_ports.shape, np.nan), where=opened & at_work & (needs > 0.0))
    return Airs(carried / widest, carried / narrowest, share, opened & (of_ports <= 0.0), ~np.isnan(flow[:1]))


@kept(WHOLES)
def _needs(ports: Mapping[str, Port], leaf_of: Mapping[str, int]) -> list[float]:
    """What each connected port needs, m3/s."""
    return [ports[name].needs.si for name in leaf_of]


@kept(WHOLES)
def _ports_of(gate_sets: tuple[GateSet, ...], tree: Tree) -> Bools:
    """Of each port of a network whether it is open, and whether it is of a machine at work, (2, ports, gate sets)."""
    opened = [set(ports_for(tree, one.open)) for one in gate_sets]
    at_work = [[port.split("/")[0] in one.open for one in gate_sets] for port in tree.leaf_of]
    return np.array([[[port in ports for ports in opened] for port in tree.leaf_of], at_work], bool)


def _flows(trials: Sequence[Made], before: Assessment) -> Array:
    """Of every run, m3/s (runs, trials, gate sets); not a number where there is no balance."""
    known = {result.gate_set: result for result in before.sets}
    runs, rows = len(before.tree.runs), len(before.tree.ducts) + 1
    flows = np.full((runs, len(trials), len(before.sets)), np.nan)
    asks: list[Ask] = []
    places: list[tuple[int, int]] = []
    for at, (design, tree) in enumerate(trials):
        changed = changed_runs(tree, before.tree)
        for which, gate_set in enumerate(gate_sets_of(design)):
            near = known.get(gate_set)
            balance = near and near.balance
            if near and balance and changed is not None and same_answer(near, changed):
                flows[:, at, which] = balance.flows[:runs]
                continue
            start = balance.flows if balance and not balance.blown_back and rows == len(tree.ducts) + 1 else None
            asks.append(Ask(tree, ports_for(tree, gate_set.open), throttled_in(gate_set), start))
            places.append((at, which))
    for (at, which), answer in zip(places, flows_of(asks), strict=True):
        if answer is not None:
            flows[:, at, which] = answer[:runs]
    return flows


def _sections(trials: Sequence[Made], before: Assessment) -> tuple[Array, Array]:
    """Where every run is widest and narrowest, m2, each (runs, trials, 1)."""
    look, tree = before.look, before.tree
    known = [[area(each[duct.run].bore) for duct in tree.runs] for each in (look.widest, look.narrowest)]
    widest, narrowest = (np.repeat(np.array(one)[:, None], len(trials), axis=1) for one in known)
    for at, (design, _) in enumerate(trials):
        sizes = stock_sizes(design)
        for run, old in zip(design.runs, before.design.runs, strict=True):
            if run is not old:
                bores, row = [section.bore for section in sections_of(run, sizes)], tree.index[run.id]
                widest[row, at], narrowest[row, at] = area(max(bores)), area(min(bores))
    return widest[..., None], narrowest[..., None]
