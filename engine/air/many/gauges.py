"""What a gauge would show in many solved networks at once: `engine.air.along.Gauge` over arrays."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property
from typing import NamedTuple

import numpy as np

from engine.air.along import Gauge, Station, length_of
from engine.air.many.losses import Array, colebrook, mitred_reynolds_factor
from engine.air.many.networks import networks_of
from engine.air.many.newton import evaluate, ways_of
from engine.air.many.shape import Positions, shape_of
from engine.air.many.solving import alike, cases_of
from engine.air.one.asks import Ask
from engine.air.one.ducts import Duct, Part, area, reynolds_per_flow
from engine.air.one.network import Tree

_SAME_PLACE = 1e-6  # m, as for one gauge


class Stations(NamedTuple):
    """A place in the air of many networks, each (cases,): static suction [Pa], flow [m3/s], bore [m]; not a number where a network has no balance."""

    suction: Array
    flow: Array
    bore: Array

    @property
    def speed(self) -> Array:
        """Mean speed over the bore, m/s."""
        return 4.0 * self.flow / (np.pi * self.bore**2)


class _Alike(NamedTuple):
    """Networks of one shape: which cases they are, what loses how much, Pa, by duct (rows with no air in any case are not a number)."""

    cases: Positions
    tree: Tree
    flows: Array
    fan: Array
    ducts: Array
    joints: Array
    hindrance: Array | None


class Gauges:
    """Networks of one design with what may be wrong in them, answered by `flows_of`: the runs are the same in all, by position."""

    def __init__(self, asks: Sequence[Ask], flows: Sequence[Array | None]) -> None:
        self._asks, self._flows = asks, flows
        balanced = [at for at, each in enumerate(flows) if each is not None]
        self._groups = [_alike([balanced[i] for i in some], asks, flows) for some in alike([asks[at] for at in balanced])]

    @cached_property
    def inlet(self) -> Stations:
        """At the collector's inlet, as `Gauge.inlet`."""
        tree = self._asks[0].tree
        first = [kid for kid in tree.children[-1] if kid < len(tree.runs)]
        if len(first) == 1:
            return self.along(tree.runs[first[0]].run, 0.0)
        return self._alone(range(len(self._asks)), lambda gauge: gauge.inlet, self._nothing())

    @property
    def through(self) -> Array:
        """Flow through the collector [m3/s], what leaks in at its inlet included."""
        return np.array([np.nan if flows is None else flows[-1] for flows in self._flows])

    def port(self, name: str) -> Stations:
        """In the bore of a connected port, as `Gauge.port`."""
        found = self._nothing()
        leaf = self._asks[0].tree.leaf_of[name]
        for group in self._groups:
            for cases, here, duct in self._by_duct(group, leaf):
                entry, flow = duct.parts[-1], group.flows[leaf, here]
                moving = _pressure(entry.bore, flow, group.tree)
                _write(found, cases, (1.0 + entry.coefficient) * moving, flow, entry.bore)
        return found

    def along(self, run: str, distance: float) -> Stations:
        """At a distance [m] along a run from its collector end, as `Gauge.along`."""
        found = self._nothing()
        at = self._asks[0].tree.index[run]
        for group in self._groups:
            way = list(group.tree.inward(at))
            total = group.fan - group.joints[way].sum(axis=0) - group.ducts[way[1:]].sum(axis=0)
            for cases, here, duct in self._by_duct(group, at):
                flow = group.flows[at, here]
                hindrance = 0.0 if group.hindrance is None else group.hindrance[at, here]
                suction, bore = _along(duct, distance, group.tree, total[here], flow, hindrance)
                _write(found, cases, suction, flow, bore)
            still = group.cases[~(group.flows[at] > 0.0)]
            self._alone(still.tolist(), lambda gauge: gauge.along(run, distance), found)
        return found

    def _by_duct(self, group: _Alike, at: int) -> list[tuple[Positions, Positions, Duct]]:
        """The different ducts at a position: which cases have each, where these stand in their group."""
        ducts: dict[int, tuple[Duct, list[int]]] = {}
        for here, case in enumerate(group.cases.tolist()):
            duct = self._asks[case].tree.runs[at]
            ducts.setdefault(id(duct), (duct, []))[1].append(here)
        return [(group.cases[here], np.array(here), duct) for duct, here in ducts.values()]

    def _alone(self, cases: Sequence[int], read: Callable[[Gauge], Station], found: Stations) -> Stations:
        """Cases read one by one."""
        for case in cases:
            flows = self._flows[case]
            if flows is not None:
                station = read(Gauge(self._asks[case], flows))
                _write(found, case, station.suction, station.flow, station.bore)
        return found

    def _nothing(self) -> Stations:
        return Stations(*(np.full(len(self._asks), np.nan) for _ in Stations._fields))


def _write(found: Stations, cases: Positions | int, *values: Array | float) -> None:
    for row, value in zip(found, values, strict=True):
        row[cases] = value


def _alike(cases: Sequence[int], asks: Sequence[Ask], flows: Sequence[Array | None]) -> _Alike:
    those = cases_of([asks[at] for at in cases])
    tree, of_ducts = those.trees[0], np.array([flows[at] for at in cases]).T
    alive = ways_of(tree, those.ends)
    shape = shape_of(those.trees, np.any(alive, axis=1, keepdims=True)[:, 0])
    networks = networks_of(shape, those.trees, those.of, those.hindrance)
    with np.errstate(all="ignore"):  # what comes of ducts without air is not read
        state = evaluate(networks, np.vstack((alive, np.ones((1, len(cases)), bool)))[shape.nodes], of_ducts[shape.nodes])
    losses, joints = np.full(of_ducts.shape, np.nan), np.full(of_ducts.shape, np.nan)
    losses[shape.nodes], joints[shape.nodes] = state.h, state.j
    return _Alike(np.array(cases), tree, of_ducts, state.fan, losses, joints, those.hindrance)


def _along(duct: Duct, distance: float, tree: Tree, total: Array, flow: Array, hindrance: Array | float) -> tuple[Array, float]:
    """Static suction [Pa] at a distance along a duct, and the bore there [m]; see `Gauge.along`."""
    gone, length, bore = 0.0, length_of(duct), duct.near_bore
    at_end = distance >= length - _SAME_PLACE
    for part in duct.parts:
        end = gone + part.length
        inside = part.place == "joint" or at_end or end < distance - _SAME_PLACE
        if part.place == "port" or (not inside and gone > distance - _SAME_PLACE):
            break
        share = 1.0 if inside or not part.length else min((distance - gone) / part.length, 1.0)
        total = total - share * _part_loss(part, tree, flow)
        if part.gate and part.gate == duct.gates[0]:
            total = total - hindrance * flow * flow
        bore, gone = part.bore if part.length else bore, end
        if not inside:
            break
    bore = duct.far_bore if at_end else bore
    return total + _pressure(bore, flow, tree), bore


def _part_loss(part: Part, tree: Tree, flow: Array) -> Array:
    """As `engine.air.one.balance.part_loss`, for flows [m3/s] of 0 or more."""
    reynolds = flow * reynolds_per_flow(part.bore, tree.air)
    coefficient = part.coefficient * (mitred_reynolds_factor(reynolds)[0] if part.mitred else np.ones_like(flow))
    if part.length:
        coefficient = coefficient + colebrook(reynolds, part.roughness / part.bore)[0] * (part.folds * part.length / part.bore)
    return coefficient * _pressure(part.bore, flow, tree)


def _pressure(bore: float, flow: Array, tree: Tree) -> Array:
    return tree.air.density / 2.0 * (flow / area(bore)) ** 2
