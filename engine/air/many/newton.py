"""Newton on the tree of ducts for many cases at once: many gate sets, and many networks of one shape.

The same start, steps and stop as `engine.air.one.live` and `engine.air.one.newton`, whose
names it keeps, on arrays of shape (ducts, cases). It goes only as far as full
steps help: cases that want shorter ones, or air that blows back held, are left
to `engine.air.one.balance.solve`, so that both give the same flows.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from engine.air.many.losses import Array
from engine.air.many.networks import Networks, networks_of
from engine.air.many.shape import Bools, Positions, Shape, shape_of
from engine.air.one.live import LEAST_HINDRANCE
from engine.air.one.network import Tree
from engine.air.one.newton import AIM, SMALL, SMALLEST_SHARE, STEEP

_STEPS = 12
_AT_ONCE = 512  # cases, so that what is worked on stays near the processor
_SHUT = 1e30  # Pa s/m3, the slope of a duct through which no air goes


class Cases(NamedTuple):
    """What is to be solved, a column a case.

    `of` (cases,) says which of the `trees`, all of one shape, a case is of;
    `ends` (ducts, cases) which outer ends are open. `hindrance` (ducts,
    cases), Pa s2/m6, adds to the `square` of ducts. `near` (ducts + 1, cases),
    m3/s, are flows to start from, 0 where there are none.
    """

    trees: Sequence[Tree]
    of: Positions
    ends: Bools
    hindrance: Array | None = None
    near: Array | None = None

    def some(self, cases: slice) -> Cases:
        """Some of them."""
        hindrance, near = (None if rows is None else rows[:, cases] for rows in (self.hindrance, self.near))
        return Cases(self.trees, self.of[cases], self.ends[:, cases], hindrance, near)


class Settled(NamedTuple):
    """Flows, m3/s, the collector's last, and suctions left at outer ends, Pa, both (ducts + 1, cases); `balanced` (cases,) tells where they hold.

    The suction of a shut end is what it would feel there without drawing; 0 of one that is open in no case.
    """

    flows: Array
    suction: Array
    balanced: Bools


class State(NamedTuple):
    """As `engine.air.one.live.State`: q, h, g, j are (nodes, cases), the rest (cases,); `dj` by meeting holds rows of (places, cases).

    `suction` (ends, cases), Pa, is what is left at outer ends.
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


def ways_of(tree: Tree, ends: Bools) -> Bools:
    """Ducts on the ways from open outer ends to the collector, (ducts, cases); `ends` is read for ducts that nothing joins."""
    alive = np.zeros_like(ends)
    for i in range(len(tree.ducts) - 1, -1, -1):
        kids = tree.children[i]
        alive[i] = np.any(alive[list(kids)], axis=0) if kids else ends[i]
    return alive


def settle(cases: Cases) -> Settled:
    """What full steps bring into balance; the other cases have flow 0."""
    count = cases.ends.shape[1]
    shape = (cases.ends.shape[0] + 1, count)
    settled = Settled(np.zeros(shape), np.zeros(shape), np.zeros(count, bool))
    for begin in range(0, count, _AT_ONCE):
        some = slice(begin, begin + _AT_ONCE)
        _settle(cases.some(some), Settled(settled.flows[:, some], settled.suction[:, some], settled.balanced[some]))
    return settled


def _settle(cases: Cases, settled: Settled) -> None:
    """Write what balances into `settled`."""
    alive = ways_of(cases.trees[0], cases.ends)
    at = np.flatnonzero(alive.any(axis=0))
    if not len(at):
        return
    shape = shape_of(cases.trees, np.any(alive, axis=1, keepdims=True)[:, 0])
    nodes, outer = shape.nodes, shape.nodes[shape.ends]
    networks = networks_of(shape, cases.trees, cases.of[at], None if cases.hindrance is None else cases.hindrance[:, at])
    alive = np.vstack((alive, np.ones(alive.shape[1], bool)))[np.ix_(nodes, at)]
    near = None if cases.near is None else cases.near[np.ix_(nodes, at)]
    aim = np.maximum(AIM * networks.supplies.shut_off, 1e-9)
    with np.errstate(all="ignore"):  # a tangent network without answer: its case is left out below
        state = evaluate(networks, alive, _begin(networks, alive, near))
        going = np.ones(len(at), bool)
        for _ in range(_STEPS):
            if (done := going & (state.worst <= aim)).any():
                settled.flows[np.ix_(nodes, at[done])], settled.suction[np.ix_(outer, at[done])] = state.q[:, done], state.suction[:, done]
                settled.balanced[at[done]] = True
                going &= ~done
            if not going.any():
                return
            q, last = _stepped(networks, alive, state, _step(networks, alive, state)), state.worst
            if 2 * going.sum() < len(going):
                left = np.flatnonzero(going)
                at, aim, alive, q, last, networks, going = at[left], aim[left], alive[:, left], q[:, left], last[left], networks.of(left), going[left]
            state = evaluate(networks, alive, q)
            going &= state.worst < last


def evaluate(networks: Networks, alive: Bools, q: Array) -> State:
    """What flows (nodes, cases) cost."""
    h, g = networks.duct_losses(q)
    j, dj = networks.meet(q)
    fan, fan_slope = networks.supplies.pressure(q[-1])
    shape = networks.shape
    suction = fan - shape.feeds.T @ (h + j)
    worst: Array = np.where(alive[shape.ends], np.abs(suction), 0.0).max(axis=0)
    return State(q, h, g, j, suction, dj, fan, fan_slope, worst)


def _begin(networks: Networks, alive: Bools, near: Array | None) -> Array:
    """Flows to begin with: those near by where every open end has one, else those of `start`."""
    if near is None:
        return start(networks, alive)
    ends = networks.shape.ends
    flows = _summed(networks.shape, np.where(alive[ends], near[ends], 0.0))
    unknown = np.flatnonzero(~((near[ends] > 0) | ~alive[ends]).all(axis=0))
    if len(unknown):
        flows[:, unknown] = start(networks.of(unknown), alive[:, unknown])
    return flows


def start(networks: Networks, alive: Bools) -> Array:
    """Flows (nodes, cases) to start from: those of a network in which every loss grows as the square of its flow."""
    shares, _ = _shares(networks, alive, np.zeros(alive.shape))
    at_joints, _ = networks.meet(shares)
    at_joints = np.where(shares > 0, at_joints / (shares * shares), 0.0)
    shares, resistance = _shares(networks, alive, at_joints)
    return shares * networks.supplies.largest_working_flow(resistance)


def _shares(networks: Networks, alive: Bools, at_joints: Array) -> tuple[Array, Array]:
    """Every duct's share of the whole flow (nodes, cases), and the resistance of the whole (cases,)."""
    shape, own = networks.shape, np.broadcast_to(networks.resistance, alive.shape)
    resistance, conductance = own.copy(), np.zeros(alive.shape)

    def conduct(nodes: Positions) -> None:
        hindering = np.maximum(np.maximum(resistance[nodes] + at_joints[nodes], LEAST_HINDRANCE * resistance[nodes]), 1e-12)
        conductance[nodes] = np.where(alive[nodes], 1 / np.sqrt(hindering), 0.0)

    conduct(shape.ends)
    for which, places in shape.inward:
        meeting = shape.meetings[which]
        at = meeting.at[places]
        resistance[at] += 1 / conductance[meeting.kids[:, places]].sum(axis=0) ** 2
        conduct(at)
    shares = alive.astype(float)
    for which, places in reversed(shape.inward):
        meeting = shape.meetings[which]
        kids = meeting.kids[:, places]
        parts = conductance[kids]
        shares[kids] = np.where(alive[kids], shares[meeting.at[places]] * parts / parts.sum(axis=0), 0.0)
    return shares, resistance[-1]


def _step(networks: Networks, alive: Bools, state: State) -> Array:
    """The Newton step of every flow (nodes, cases); not a number where the tangent network has no answer."""
    shape = networks.shape
    a, b = state.h.copy(), np.where(alive, state.g, _SHUT)
    split: list[tuple[list[Array], list[Array], Array]] = []
    for which, places in shape.inward:
        meeting, slopes = shape.meetings[which], state.dj[which]
        at, kids = meeting.at[places], meeting.kids[:, places]
        u, w = _shared_suction(b[kids], a[kids] + state.j[kids], slopes and [[slope[places] for slope in row] for row in slopes])
        whole: Array = np.sum(u, axis=0)
        a[at] += sum(w) / whole
        b[at] += 1 / whole
        split.append((u, w, whole))
    dq = np.zeros_like(a)
    dq[-1] = (state.fan - a[-1]) / (b[-1] - state.fan_slope)
    for (which, places), (u, w, whole) in zip(reversed(shape.inward), reversed(split), strict=True):
        meeting = shape.meetings[which]
        suction = (dq[meeting.at[places]] + sum(w)) / whole
        for kid, one, other in zip(meeting.kids[:, places], u, w, strict=True):
            dq[kid] = one * suction - other
    return np.where(alive, dq, 0.0)


def _shared_suction(b: Array, r: Array, slopes: list[list[Array]] | None) -> tuple[list[Array], list[Array]]:
    """Ducts that meet share one suction S: M dq = S 1 - r; u = M^-1 1 and w = M^-1 r. `b` and `r` are (kids, places, cases)."""
    if slopes is None:
        return [1 / one for one in b], [rest / one for one, rest in zip(b, r, strict=True)]
    if len(slopes) == 2:
        (m00, m01), (m10, m11) = slopes
        m00, m11 = m00 + b[0], m11 + b[1]
        det = m00 * m11 - m01 * m10
        return [(m11 - m01) / det, (m00 - m10) / det], [(m11 * r[0] - m01 * r[1]) / det, (m00 * r[1] - m10 * r[0]) / det]
    rows = [[*row, np.ones_like(rest), rest] for row, rest in zip(slopes, r, strict=True)]
    for k, row in enumerate(rows):
        row[k] = row[k] + b[k]
    return _eliminate(rows)


def _eliminate(rows: list[list[Array]]) -> tuple[list[Array], list[Array]]:
    """Gauss-Jordan on a few rows with two right-hand sides, without row exchange: a pivot of 0 spoils its own case only."""
    n = len(rows)
    for c in range(n):
        scale = rows[c][c]
        rows[c][c + 1 :] = [value / scale for value in rows[c][c + 1 :]]
        for r in range(n):
            if r != c:
                factor = rows[r][c]
                rows[r][c + 1 :] = [value - factor * top for value, top in zip(rows[r][c + 1 :], rows[c][c + 1 :], strict=True)]
    return [row[n] for row in rows], [row[n + 1] for row in rows]


def _stepped(networks: Networks, alive: Bools, state: State, dq: Array) -> Array:
    """Flows after the step, of which every port keeps a fifth; small ones are steps of the squares, as for one. Inner ducts are summed anew."""
    shape = networks.shape
    flows, change, open_ends = state.q[shape.ends], dq[shape.ends], alive[shape.ends]
    kept = np.where((change < 0) & open_ends, (1 - SMALLEST_SHARE) * flows / -change, np.inf)
    change = change * np.minimum(1.0, kept.min(axis=0))
    squares = ((np.abs(change) < SMALL * flows) | ~open_ends).all(axis=0) & (-state.fan_slope * state.q[-1] < STEEP * state.fan)
    return _summed(shape, np.where(squares, np.sqrt(np.maximum(flows * (flows + 2.0 * change), 0.0)), flows + change))


def _summed(shape: Shape, of_ends: Array) -> Array:
    """Flows of all nodes from those of the outer ends."""
    return shape.feeds @ of_ends
