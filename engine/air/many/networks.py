"""What the ducts and joints of many networks of one shape cost, gathered in arrays."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import NamedTuple, TypeVar

import numpy as np

from engine.air.losses.junctions import Joint
from engine.air.many.losses import Array, JointTerms, colebrook, joint_terms, leak_loss, mitred_reynolds_factor, momentum
from engine.air.many.shape import Meeting, Positions, Shape
from engine.air.many.supplies import Supplies
from engine.air.one.ducts import Duct, Leak
from engine.air.one.network import Tree
from engine.values import dataclass


class Terms(NamedTuple):
    """Terms of some ducts, by `nodes`, that hang on their Reynolds number, q x `reynolds`: `factor` and, of friction, `roughness` over bore."""

    nodes: Positions
    factor: Array
    reynolds: Array
    roughness: Array


class Leaks(NamedTuple):
    """Leaks, by `nodes`: conductance, and `dynamic` as in `engine.air.one.ducts.Leak`."""

    nodes: Positions
    conductance: Array


@dataclass(frozen=True, slots=True)
class Networks:
    """Networks of one shape, a column a case: each array is (rows, cases), or (rows, 1) where all cases share it.

    `square` and `resistance` are by node; `joints` and `dynamics` by meeting
    of the shape, None where nothing is lost, or no leak stands.
    """

    shape: Shape
    supplies: Supplies
    square: Array
    resistance: Array
    frictions: tuple[Terms, ...]
    mitres: tuple[Terms, ...]
    leaks: Leaks
    joints: tuple[JointTerms | None, ...]
    dynamics: tuple[Array | None, ...]

    def of(self, cases: Positions) -> Networks:
        """Those of some cases."""

        def some(rows: Array) -> Array:
            return rows if rows.shape[-1] == 1 else rows[..., cases]

        return replace(
            self, supplies=self.supplies.of(cases), square=some(self.square), resistance=some(self.resistance),
            frictions=tuple(Terms(one.nodes, *map(some, one[1:])) for one in self.frictions),
            mitres=tuple(Terms(one.nodes, *map(some, one[1:])) for one in self.mitres),
            leaks=Leaks(self.leaks.nodes, some(self.leaks.conductance)),
            joints=tuple(joint and joint.of(cases) for joint in self.joints),
            dynamics=tuple(None if rows is None else some(rows) for rows in self.dynamics),
        )  # fmt: skip

    def duct_losses(self, q: Array) -> tuple[Array, Array]:
        """Total-pressure loss of every duct at flows (nodes, cases), m3/s, and its slope: Pa and Pa s/m3. Joints are not included."""
        square, slope = np.broadcast_to(self.square, q.shape).copy(), np.zeros_like(q)
        for terms in self.frictions:
            f, log_slope = colebrook(q[terms.nodes] * terms.reynolds, terms.roughness)
            f *= terms.factor
            square[terms.nodes] += f
            slope[terms.nodes] += f * log_slope
        for terms in self.mitres:
            flow = q[terms.nodes]
            more, more_slope = mitred_reynolds_factor(flow * terms.reynolds)
            square[terms.nodes] += more * terms.factor
            slope[terms.nodes] += more_slope * flow * (terms.reynolds * terms.factor)
        h, g = square * q * q, (2.0 * square + slope) * q
        if len(self.leaks.nodes):
            h[self.leaks.nodes], g[self.leaks.nodes] = leak_loss(self.leaks.conductance, q[self.leaks.nodes])
        return h, g

    def meet(self, q: Array) -> tuple[Array, list[list[list[Array]] | None]]:
        """Losses where ducts meet, by node, Pa, and of each meeting their slopes by row and column of its kids, Pa s/m3."""
        j, slopes = np.zeros_like(q), []
        for meeting, joint, dynamic in zip(self.shape.meetings, self.joints, self.dynamics, strict=True):
            slopes.append(_meet(meeting, joint, dynamic, q, j))
        return j, slopes


def _meet(meeting: Meeting, joint: JointTerms | None, dynamic: Array | None, q: Array, j: Array) -> list[list[Array]] | None:
    """Write the losses at some places into `j`; their slopes, None where there are none. As `engine.air.one.live.Place.losses`."""
    legs = meeting.legs
    if joint is None and dynamic is None:
        return None
    flows = [q[leg] for leg in legs]
    nothing = np.zeros_like(flows[0])
    losses, rows = momentum(joint, flows) if joint else ([nothing] * len(flows), [[nothing] * len(flows) for _ in flows])
    if dynamic is not None:
        behind = []
        for wall, factor in zip(meeting.walls, dynamic, strict=True):
            losses.append(losses[wall] - factor * flows[wall] ** 2)
            behind.append([slope - 2.0 * factor * flows[wall] if k == wall else slope for k, slope in enumerate(rows[wall])])
        rows = [[*row, *[nothing] * len(behind)] for row in (*rows, *behind)]
    for kid, loss in zip(meeting.kids, losses, strict=True):
        j[kid] = loss
    return rows


def networks_of(shape: Shape, trees: Sequence[Tree], of: Positions, hindrance: Array | None) -> Networks:
    """The networks of `trees` of one shape, `of` (cases,) says which; `hindrance` (ducts, cases), Pa s2/m6, adds to the `square` of runs."""
    runs = [node for node in shape.nodes.tolist() if node < len(trees[0].runs)]
    ducts, at = _unique([[tree.runs[i] for i in runs] for tree in trees])
    at = at.T if at.shape[0] == 1 else at.T[:, of]
    square, resistance = np.zeros((len(shape.nodes), at.shape[1])), np.zeros((len(shape.nodes), at.shape[1]))
    square[: len(runs)] = np.array([duct.square for duct in ducts])[at]
    resistance[: len(runs)] = np.array([duct.resistance for duct in ducts])[at]
    if hindrance is not None:
        more = np.zeros((len(shape.nodes), hindrance.shape[1]))
        more[: len(runs)] = hindrance[runs]
        square, resistance = square + more, resistance + more
    leaks = Leaks(np.arange(len(runs), len(shape.nodes) - 1), _of_leaks(trees, of, shape.nodes[len(runs) : -1], lambda leak: leak.conductance))
    resistance = _with_leaks(resistance, leaks, trees, of, shape)
    joints, dynamics = [], []
    for meeting in shape.meetings:
        joints.append(_joints(meeting, shape, trees, of) if meeting.jointed else None)
        rows = shape.nodes[meeting.kids[len(meeting.slots[0]) :]]
        dynamics.append(_of_leaks(trees, of, rows, lambda leak: leak.dynamic) if meeting.walls else None)
    return Networks(
        shape, Supplies([tree.fan for tree in trees], of), square, resistance,
        _terms(ducts, at, lambda duct: duct.frictions), _terms(ducts, at, lambda duct: [(*one, 0.0) for one in duct.mitres]),
        leaks, tuple(joints), tuple(dynamics),
    )  # fmt: skip


_One = TypeVar("_One")


def _unique(rows: Sequence[Sequence[_One]]) -> tuple[list[_One], Positions]:
    """Each thing once, and where it is in that list, of the shape of `rows`."""
    at: dict[int, int] = {}
    things: list[_One] = []
    for row in rows:
        for one in row:
            if id(one) not in at:
                at[id(one)] = len(things)
                things.append(one)
    return things, np.array([[at[id(one)] for one in row] for row in rows], np.intp)


def _terms(ducts: Sequence[Duct], at: Positions, terms_of: Callable[[Duct], Sequence[tuple[float, float, float]]]) -> tuple[Terms, ...]:
    """First the first term of every duct that has one, then the second ones, ..., so that no duct comes twice in one."""
    every = [terms_of(duct) for duct in ducts]
    found = []
    for rank in range(max(map(len, every), default=0)):
        has = np.array([len(terms) > rank for terms in every])
        nodes = np.flatnonzero(has[at].any(axis=1))
        table = np.array([terms[rank] if len(terms) > rank else (0.0, 1.0, 0.0) for terms in every])[at[nodes]]
        found.append(Terms(nodes, *(_shared(table[..., k]) for k in range(3))))
    return tuple(found)


def _shared(rows: Array) -> Array:
    """(rows, 1) where all cases are alike."""
    first = rows[..., :1]
    return first if (rows == first).all() else np.ascontiguousarray(rows)


def _of_leaks(trees: Sequence[Tree], of: Positions, nodes: Positions, what: Callable[[Leak], float]) -> Array:
    """Something of leaks, by their positions in the tree, (nodes..., cases)."""
    each = np.array([[what(tree.leaks[i - len(tree.runs)]) for i in nodes.ravel().tolist()] for tree in trees])
    return _shared(each.T.reshape(*nodes.shape, len(trees))[..., of])


def _with_leaks(resistance: Array, leaks: Leaks, trees: Sequence[Tree], of: Positions, shape: Shape) -> Array:
    if not len(leaks.nodes):
        return resistance
    added = _of_leaks(trees, of, shape.nodes[leaks.nodes], lambda leak: leak.resistance)
    width = max(resistance.shape[1], added.shape[1])
    whole = np.broadcast_to(resistance, (len(resistance), width)).copy()
    whole[leaks.nodes] = added
    return whole


def _joints(meeting: Meeting, shape: Shape, trees: Sequence[Tree], of: Positions) -> JointTerms:
    places = shape.nodes[meeting.at].tolist()
    joints: list[Joint | None] = []
    legs: list[tuple[int, ...]] = []
    at: dict[tuple[int, tuple[int, ...]], int] = {}
    which = np.empty((len(places), len(trees)), np.intp)
    for column, tree in enumerate(trees):
        for row, (place, slots) in enumerate(zip(places, meeting.slots, strict=True)):
            joint = tree.joints[place]
            key = (id(joint), slots)
            if key not in at:
                at[key] = len(joints)
                joints.append(joint)
                legs.append(slots)
            which[row, column] = at[key]
    return joint_terms(joints, legs, which if len(trees) == 1 else which[:, of])
