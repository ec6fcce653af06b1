"""Newton on the tree of ducts for many gate sets at once.

The same start, steps and stop as `engine.air.live` and `engine.air.newton`, whose
names it keeps, on arrays of shape (sets,). It goes only as far as full steps
help: sets that want shorter ones, or air that blows back held, are left to
`engine.air.balance.solve`, so that both give the same flows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from engine.air.live import LEAST_HINDRANCE, largest_working_flow
from engine.air.many.losses import Array, duct_loss, momentum
from engine.air.network import Tree
from engine.air.newton import AIM, SMALLEST_SHARE

Bools = NDArray[np.bool_]
Positions = NDArray[np.intp]

_STEPS = 12


@dataclass(frozen=True, slots=True)
class Ways:
    """Where air can flow: `alive` (ducts, sets) are on the way of an outer end that is open, the collector's inlet last.

    `hindrance` (ducts, sets), Pa s2/m6, adds to the `square` of ducts; None where nothing does.
    """

    alive: Bools
    hindrance: Array | None

    def of(self, sets: Bools | Positions) -> Ways:
        """Those of some sets."""
        return Ways(self.alive[:, sets], None if self.hindrance is None else self.hindrance[:, sets])

    def more(self, duct: int) -> Array | float:
        """What adds to the `square` of a duct, (sets,)."""
        return 0.0 if self.hindrance is None else self.hindrance[duct]


class State(NamedTuple):
    """As `engine.air.live.State`: q, h, g, j are (ducts, sets), the collector's inlet last, the rest (sets,); dj by duct holds rows of (sets,).

    `suction` (ducts, sets), Pa, is what is left at each duct's outer end: that
    of a shut one is what it would feel there without drawing.
    """

    q: Array
    h: Array
    g: Array
    j: Array
    suction: Array
    dj: list[list[list[Array]] | None]
    fan: Array
    fan_slope: Array
    worst: Array

    def of(self, sets: Bools) -> State:
        """That of some sets."""
        return State(
            q=self.q[:, sets], h=self.h[:, sets], g=self.g[:, sets], j=self.j[:, sets], suction=self.suction[:, sets],
            dj=[slopes and [[slope[sets] for slope in row] for row in slopes] for slopes in self.dj],
            fan=self.fan[sets], fan_slope=self.fan_slope[sets], worst=self.worst[sets],
        )  # fmt: skip


def ways_of(tree: Tree, ends: Bools, hindrance: Array | None = None) -> Ways:
    """The ways from open outer ends to the collector; `ends` (ducts, sets) is read for ducts that nothing joins."""
    alive = np.pad(ends, ((0, 1), (0, 0)))
    for i in reversed(outward(tree)):
        if kids := tree.children[i]:
            alive[i] = np.any(alive[list(kids)], axis=0)
    return Ways(alive, hindrance)


def outward(tree: Tree) -> range:
    """Positions of the collector's inlet and the ducts, each after its parent."""
    return range(-1, len(tree.ducts))


class Settled(NamedTuple):
    """Flows, m3/s, and suctions left at outer ends, Pa, both (ducts, sets), the collector's inlet last; `balanced` (sets,) tells where they hold."""

    flows: Array
    suction: Array
    balanced: Bools


def settle(tree: Tree, ways: Ways) -> Settled:
    """What full steps bring into balance; the other sets have flow 0."""
    flows, suction, balanced = np.zeros(ways.alive.shape), np.zeros(ways.alive.shape), np.zeros(ways.alive.shape[1], bool)
    aim = max(AIM * tree.fan.shut_off, 1e-9)
    at = np.flatnonzero(ways.alive.any(axis=0))
    if not len(at):
        return Settled(flows, suction, balanced)
    ways = ways.of(at)
    with np.errstate(all="ignore"):  # a tangent network without answer: its set is left out below
        state = evaluate(tree, ways, start(tree, ways))
        for _ in range(_STEPS):
            done = state.worst <= aim
            flows[:, at[done]], suction[:, at[done]], balanced[at[done]] = state.q[:, done], state.suction[:, done], True
            at, ways, last = at[~done], ways.of(~done), state.of(~done)
            if not len(at):
                break
            state = evaluate(tree, ways, _stepped(tree, ways, last, _step(tree, ways, last)))
            helped = state.worst < last.worst
            at, ways, state = at[helped], ways.of(helped), state.of(helped)
    return Settled(flows, suction, balanced)


def evaluate(tree: Tree, ways: Ways, q: Array) -> State:
    """What flows (ducts, sets) cost, the collector's inlet last."""
    h, g, j, suction = np.zeros_like(q), np.zeros_like(q), np.zeros_like(q), np.zeros_like(q)
    dj: list[list[list[Array]] | None] = [None] * len(q)
    # Called for each flow, so that any collector serves.
    supplied = np.array([tree.fan.pressure(flow) for flow in q[-1].tolist()]).reshape(-1, 2)
    suction[-1], dj[-1] = supplied[:, 0], _meet(tree, -1, q, j)
    worst = np.zeros(q.shape[1])
    for i, duct in enumerate(tree.ducts):
        h[i], g[i] = duct_loss(duct, q[i], ways.more(i))
        suction[i] = suction[duct.parent] - j[i] - h[i]
        if not tree.children[i]:
            worst = np.where(ways.alive[i], np.maximum(worst, np.abs(suction[i])), worst)
        dj[i] = _meet(tree, i, q, j)
    return State(q, h, g, j, suction, dj, supplied[:, 0], supplied[:, 1], worst)


def _meet(tree: Tree, duct: int, q: Array, j: Array) -> list[list[Array]] | None:
    """Write the losses of those that join a duct into `j`; their Jacobian, as `engine.air.live.Place`. None where a run alone goes straight on."""
    joint, joined = tree.joints[duct], tree.children[duct]
    legs = [kid for kid in joined if kid < len(tree.runs)]
    leaks = [tree.leaks[kid - len(tree.runs)] for kid in joined[len(legs) :]]
    if joint is None and not leaks:
        return None
    nothing = np.zeros(q.shape[1])
    losses, jacobian = momentum(joint, q[legs]) if joint else ([nothing for _ in legs], [[nothing for _ in legs] for _ in legs])
    for leak in leaks:
        leg, flow = legs.index(leak.wall), q[leak.wall]
        losses.append(losses[leg] - leak.dynamic * flow * flow)
        jacobian.append([slope - 2.0 * leak.dynamic * flow if at == leg else slope for at, slope in enumerate(jacobian[leg])])
    for kid, loss in zip(joined, losses, strict=True):
        j[kid] = loss
    return [row + [nothing for _ in leaks] for row in jacobian]


def start(tree: Tree, ways: Ways) -> Array:
    """Flows (ducts, sets) to start from: those of a network in which every loss grows as the square of its flow."""
    own = np.zeros(ways.alive.shape)
    for i, duct in enumerate(tree.ducts):
        own[i] = duct.resistance + ways.more(i)
    at_joints = np.zeros_like(own)
    shares, _ = _shared(tree, ways, own, at_joints)
    for i in outward(tree):
        _meet(tree, i, shares, at_joints)
    at_joints = np.where(shares > 0, at_joints / (shares * shares), 0.0)
    shares, resistance = _shared(tree, ways, own, at_joints)
    totals: Array = np.array([largest_working_flow(tree.fan, whole) for whole in resistance.tolist()])
    return shares * totals


def _shared(tree: Tree, ways: Ways, own: Array, at_joints: Array) -> tuple[Array, Array]:
    """Every duct's share of the whole flow (ducts, sets), and the resistance of the whole (sets,)."""
    resistance, conductance = own.copy(), np.zeros_like(own)
    for i in reversed(outward(tree)):
        if kids := tree.children[i]:
            resistance[i] += 1 / sum(conductance[k] for k in kids) ** 2
        hindering = np.maximum(np.maximum(resistance[i] + at_joints[i], LEAST_HINDRANCE * resistance[i]), 1e-12)
        conductance[i] = np.where(ways.alive[i], 1 / np.sqrt(hindering), 0.0)
    shares = ways.alive.astype(float)
    for i in outward(tree):
        whole = sum(conductance[k] for k in tree.children[i])
        for k in tree.children[i]:
            shares[k] = np.where(ways.alive[k], shares[i] * conductance[k] / whole, 0.0)
    return shares, resistance[-1]


def _step(tree: Tree, ways: Ways, state: State) -> Array:
    """The Newton step of every flow (ducts, sets); not a number where the tangent network has no answer."""
    a, b = state.h.copy(), state.g.copy()
    split: dict[int, tuple[list[Array], list[Array]]] = {}
    for i in reversed(outward(tree)):
        if kids := tree.children[i]:
            split[i] = u, w = _shared_suction(kids, ways, a, b, state.j, state.dj[i])
            whole = sum(u)
            a[i] += sum(w) / whole
            b[i] += 1 / whole
    dq = np.zeros_like(a)
    dq[-1] = (state.fan - a[-1]) / (b[-1] - state.fan_slope)
    for i in outward(tree):
        if kids := tree.children[i]:
            u, w = split[i]
            ds = (dq[i] + sum(w)) / sum(u)
            for k, uk, wk in zip(kids, u, w, strict=True):
                dq[k] = np.where(ways.alive[k], uk * ds - wk, 0.0)
    return dq


def _shared_suction(kids: tuple[int, ...], ways: Ways, a: Array, b: Array, j: Array, dj: list[list[Array]] | None) -> tuple[list[Array], list[Array]]:
    """Ducts that meet share one suction S: M dq = S 1 - r; u = M^-1 1 and w = M^-1 r, both 0 for a shut one."""
    rows = []
    for r, k in enumerate(kids):
        alive, row = ways.alive[k], [*dj[r]] if dj else [np.zeros(b.shape[1])]
        row[r] = row[r] + b[k]
        shut = [1.0 if c == r else 0.0 for c in range(len(kids))]
        rows.append([np.where(alive, value, idle) for value, idle in zip([*row, 1.0, a[k] + j[k]], [*shut, 0.0, 0.0], strict=True)])
    return _eliminate(rows)


def _eliminate(rows: list[list[Array]]) -> tuple[list[Array], list[Array]]:
    """Gauss-Jordan on a few rows with two right-hand sides, without row exchange: a pivot of 0 spoils its own set only."""
    n = len(rows)
    for c in range(n):
        scale = rows[c][c]
        rows[c][c + 1 :] = [value / scale for value in rows[c][c + 1 :]]
        for r in range(n):
            if r != c:
                factor = rows[r][c]
                rows[r][c + 1 :] = [value - factor * top for value, top in zip(rows[r][c + 1 :], rows[c][c + 1 :], strict=True)]
    return [row[n] for row in rows], [row[n + 1] for row in rows]


def _stepped(tree: Tree, ways: Ways, state: State, dq: Array) -> Array:
    """Flows after the step, of which every port keeps a fifth; inner ducts summed anew, so that mass stays exact."""
    ends = [i for i in range(len(tree.ducts)) if not tree.children[i]]
    kept = np.where(dq[ends] < 0, (1 - SMALLEST_SHARE) * state.q[ends] / -dq[ends], np.inf)
    length: Array = np.minimum(1.0, np.where(ways.alive[ends], kept, np.inf).min(axis=0))
    q = state.q + length * dq
    for i in reversed(outward(tree)):
        if kids := tree.children[i]:
            q[i] = sum(q[k] for k in kids)
    return q
