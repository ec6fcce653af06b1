"""Newton on the tree of ducts that carry air.

Unknowns are the flows of the open ports; the flow of every other duct is
their sum, so mass balances exactly. Each step works on the suctions: going
inward each subtree becomes a line "suction at its inner end = a + b x flow",
ducts that meet share that suction, the fan's tangent closes the root, and the
new flows follow outward. No matrix beyond the ducts of one joint is formed.

Where the collector's curve rises, several flows may balance: the start is the
largest one that a network without joint losses allows, which is where a fan
settles when its gates are closed down from wide open.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt

from engine.fan import Fan
from engine.losses.elbows import mitred_reynolds_factor
from engine.losses.friction import colebrook
from engine.network import Duct, Tree

FrictionLaw = Callable[[float, float], tuple[float, float]]
JointLaw = Callable[..., tuple[list[float], list[list[float]]]]
Laws = tuple[FrictionLaw, JointLaw]

PRESSURE_TOLERANCE = 0.01  # Pa, the most any path may be out of balance
_AIM = 1e-10  # of shut-off pressure, where the steps stop
_STEPS = 60
_START_FRICTION = 0.02
_SCAN = 32  # pieces of the curve searched for its largest crossing
_SMALLEST_START = 1e-6  # m3/s
_SMALLEST_SHARE = 0.2  # of its last flow that a port keeps in one step
_HELD_BELOW = 1e-13  # of the total flow: a port that shrinks to this is tried shut


class NotConverged(Exception):
    """No set of flows balances the network within tolerance."""


@dataclass(slots=True)
class Live:
    """The part of the tree that carries air: ducts after their parents, positions instead of indices."""

    ducts: list[int]
    parent: list[int]
    kids: list[list[int]]
    slots: list[list[int]]
    leaf_set: frozenset[int]


@dataclass(slots=True)
class State:
    """Flows and losses by position: h and g = dh/dq of each duct, j and dj of each joint."""

    q: list[float]
    h: list[float]
    g: list[float]
    j: list[float]
    dj: list[list[list[float]] | None]
    fan: float
    fan_slope: float
    worst: float


def _live(tree: Tree, leaves: list[int]) -> Live:
    alive: set[int] = set()
    for leaf in leaves:
        while leaf >= 0 and leaf not in alive:
            alive.add(leaf)
            leaf = tree.ducts[leaf].parent
    ducts = sorted(alive)
    at = {duct: position for position, duct in enumerate(ducts)}
    kids, slots = [], []
    for duct in ducts:
        meeting = [(at[kid], slot) for slot, kid in enumerate(tree.children[duct]) if kid in alive]
        kids.append([position for position, _ in meeting])
        slots.append([slot for _, slot in meeting])
    parent = [at.get(tree.ducts[duct].parent, -1) for duct in ducts]
    return Live(ducts, parent, kids, slots, frozenset(leaves))


def settle(tree: Tree, leaves: list[int], laws: Laws) -> tuple[Live, State]:
    """Newton; a port that would blow back is held shut, and let go again if it would draw after all."""
    held: list[int] = []
    let_go: set[int] = set()
    for _ in range(3 * len(leaves) + 3):
        live = _live(tree, [leaf for leaf in leaves if leaf not in held])
        if not live.ducts:
            return live, State([], [], [], [], [], tree.fan.pressure(0.0)[0], 0.0, 0.0)
        state, weakest = _newton(tree, live, _start(tree, live), laws)
        if state is None:
            state, weakest = _walked(tree, live, laws)
        if state is not None:
            draws = [leaf for leaf in held if leaf not in let_go and _would_draw(tree, live, state, leaf, laws)]
            if not draws:
                return live, state
            held.remove(draws[0])
            let_go.add(draws[0])
            continue
        if weakest is None:
            break
        held.append(weakest)
    raise NotConverged("no set of flows balances this network")


def _walked(tree: Tree, live: Live, laws: Laws) -> tuple[State | None, int | None]:
    """Newton with the joint losses brought in little by little, each answer the next start."""
    flows, weakest = _start(tree, live), None
    for share in (0.0, 0.25, 0.5, 0.75, 0.9, 1.0):
        state, weakest = _newton(tree, live, flows, laws, share)
        if state is None:
            return None, weakest
        flows = state.q
    return state, None


def _newton(tree: Tree, live: Live, flows: list[float], laws: Laws, share: float = 1.0) -> tuple[State | None, int | None]:
    """(state, None) when balanced, else (None, the leaf with the least flow)."""
    aim = max(_AIM * tree.fan.shut_off, 1e-9)
    state, stalls = _evaluate(tree, live, flows, laws, share), 0
    for _ in range(_STEPS):
        if state.worst <= aim or (stalls > 3 and state.worst <= PRESSURE_TOLERANCE / 10):
            return state, None
        step = _step(live, state)
        if step is None:
            break
        best = None
        length = _longest(live, state.q, step)
        for _ in range(12):
            trial = _evaluate(tree, live, _moved(live, state.q, step, length), laws, share)
            if best is None or trial.worst < best.worst:
                best = trial
            if trial.worst < state.worst:
                break
            length /= 2
        stalls = stalls + 1 if best.worst >= 0.9 * state.worst else 0
        state = best
        total = state.q[0]
        if stalls > 8 or any(state.q[i] < _HELD_BELOW * total for i in range(len(state.q)) if not live.kids[i]):
            break
    leaves = [i for i, kids in enumerate(live.kids) if not kids]
    return None, live.ducts[min(leaves, key=lambda i: state.q[i])]


def _start(tree: Tree, live: Live) -> list[float]:
    """Flows of the network with fixed friction and no joint losses: the largest flow the fan can hold."""
    n = len(live.ducts)
    resistance, conductance = [0.0] * n, [0.0] * n
    for i in range(n - 1, -1, -1):
        duct = tree.ducts[live.ducts[i]]
        r = duct.square + sum(m.factor for m in duct.mitres) + _START_FRICTION * sum(t.factor for t in duct.frictions)
        if live.kids[i]:
            r += 1 / sum(conductance[k] for k in live.kids[i]) ** 2
        resistance[i], conductance[i] = r, 1 / sqrt(max(r, 1e-12))
    flows = [0.0] * n
    flows[0] = largest_working_flow(tree.fan, resistance[0])
    for i in range(n):
        whole = sum(conductance[k] for k in live.kids[i])
        for k in live.kids[i]:
            flows[k] = flows[i] * conductance[k] / whole
    return flows


def largest_working_flow(fan: Fan, resistance: float) -> float:
    """About the largest q, m3/s, at which the fan supplies resistance x q^2, searched from the right."""
    high = max(fan.high, 1e-6)
    while fan.pressure(high)[0] > resistance * high * high:
        high *= 2
    step = high / _SCAN
    low = high - step
    while low > 0 and fan.pressure(low)[0] < resistance * low * low:
        low -= step
    high = low + step
    for _ in range(10):
        middle = (low + high) / 2
        if fan.pressure(middle)[0] >= resistance * middle * middle:
            low = middle
        else:
            high = middle
    return max(low, _SMALLEST_START)


def duct_loss(duct: Duct, q: float, friction: FrictionLaw = colebrook) -> tuple[float, float]:
    """Total-pressure loss of a duct (Pa) and its slope with flow, joint not included."""
    square, slope = duct.square, 0.0
    for term in duct.frictions:
        f, log_slope = friction(q * term.reynolds, term.relative_roughness)
        f *= term.factor
        square += f
        slope += f * log_slope
    for mitre in duct.mitres:
        factor, factor_slope = mitred_reynolds_factor(q * mitre.reynolds)
        square += factor * mitre.factor
        slope += factor_slope * mitre.reynolds * mitre.factor * q
    return square * q * q, (2 * square + slope) * q


def _evaluate(tree: Tree, live: Live, q: list[float], laws: Laws, share: float) -> State:
    friction, law = laws
    n = len(q)
    h, g, j = [0.0] * n, [0.0] * n, [0.0] * n
    dj: list[list[list[float]] | None] = [None] * n
    fan, fan_slope = tree.fan.pressure(q[0])
    suction, worst = [0.0] * n, 0.0
    ducts, kids_of = tree.ducts, live.kids
    for i in range(n):
        index = live.ducts[i]
        h[i], g[i] = duct_loss(ducts[index], q[i], friction)
        inner = suction[live.parent[i]] if i else fan
        suction[i] = outer = inner - j[i] - h[i]
        kids = kids_of[i]
        if not kids:
            worst = max(worst, abs(outer))
        elif tree.joints[index] is not None:
            dj[i] = _joint_losses(tree, live, i, q, j, law, share)
    return State(q, h, g, j, dj, fan, fan_slope, worst)


def _joint_losses(tree: Tree, live: Live, i: int, q: list[float], j: list[float], law: JointLaw, share: float) -> list[list[float]]:
    """Write the losses of the joint at the outer end of duct i into `j`; the Jacobian of its live ducts."""
    kids, slots, joint = live.kids[i], live.slots[i], tree.joints[live.ducts[i]]
    legs = len(joint.legs)
    if len(kids) == legs:
        losses, jacobian = law(joint, [q[k] for k in kids])
    else:
        flows = [0.0] * legs
        for k, slot in zip(kids, slots):
            flows[slot] = q[k]
        every, whole = law(joint, flows)
        losses = [every[slot] for slot in slots]
        jacobian = [[whole[row][column] for column in slots] for row in slots]
    if share != 1.0:
        losses = [share * loss for loss in losses]
        jacobian = [[share * slope for slope in row] for row in jacobian]
    for k, loss in zip(kids, losses):
        j[k] = loss
    return jacobian


def _step(live: Live, state: State) -> list[float] | None:
    """The Newton step of every flow, or None where the tangent network has no answer.

    Going inward each duct becomes ds = a + b dq for the suction s at its inner
    end, before the joint; going outward the steps dq follow from the fan's.
    """
    n = len(state.q)
    a, b = [0.0] * n, [0.0] * n
    split: list[tuple[list[float], list[float]] | None] = [None] * n
    for i in range(n - 1, -1, -1):
        a[i], b[i] = state.h[i], state.g[i]
        if live.kids[i]:
            meet = _meet(live.kids[i], a, b, state.j, state.dj[i])
            if meet is None:
                return None
            u, w = split[i] = meet
            whole = sum(u)
            if whole == 0.0:
                return None
            a[i] += sum(w) / whole
            b[i] += 1 / whole
    rise = b[0] - state.fan_slope
    if rise == 0.0:
        return None
    dq = [0.0] * n
    dq[0] = (state.fan - a[0]) / rise
    for i in range(n):
        if split[i] is not None:
            u, w = split[i]
            ds = (dq[i] + sum(w)) / sum(u)
            for k, uk, wk in zip(live.kids[i], u, w):
                dq[k] = uk * ds - wk
    return dq


def _meet(kids: list[int], a: list[float], b: list[float], j: list[float], dj: list[list[float]] | None) -> tuple[list[float], list[float]] | None:
    """Ducts that meet share one suction S: M dq = S 1 - r; returns u = M^-1 1 and w = M^-1 r."""
    if len(kids) == 1:
        k = kids[0]
        m = b[k] + (dj[0][0] if dj else 0.0)
        return ([1 / m], [(a[k] + j[k]) / m]) if m else None
    if len(kids) == 2:
        k, l = kids
        m00, m01, m10, m11 = (b[k], 0.0, 0.0, b[l]) if dj is None else (b[k] + dj[0][0], dj[0][1], dj[1][0], b[l] + dj[1][1])
        r0, r1, det = a[k] + j[k], a[l] + j[l], m00 * m11 - m01 * m10
        if det == 0.0:
            return None
        return [(m11 - m01) / det, (m00 - m10) / det], [(m11 * r0 - m01 * r1) / det, (m00 * r1 - m10 * r0) / det]
    rows = [[*(dj[r] if dj else [0.0] * len(kids)), 1.0, a[k] + j[k]] for r, k in enumerate(kids)]
    for r, k in enumerate(kids):
        rows[r][r] += b[k]
    return _eliminate(rows)


def _eliminate(rows: list[list[float]]) -> tuple[list[float], list[float]] | None:
    """Gauss-Jordan with row exchange on a few rows with two right-hand sides."""
    n = len(rows)
    for c in range(n):
        pivot = max(range(c, n), key=lambda r: abs(rows[r][c]))
        if rows[pivot][c] == 0.0:
            return None
        rows[c], rows[pivot] = rows[pivot], rows[c]
        scale = rows[c][c]
        rows[c] = [value / scale for value in rows[c]]
        for r in range(n):
            if r != c and rows[r][c]:
                factor = rows[r][c]
                rows[r] = [value - factor * top for value, top in zip(rows[r], rows[c])]
    return [row[n] for row in rows], [row[n + 1] for row in rows]


def _longest(live: Live, q: list[float], dq: list[float]) -> float:
    """The share of the step that leaves every port at least a fifth of its flow."""
    length = 1.0
    for i, kids in enumerate(live.kids):
        if not kids and q[i] + dq[i] * length < _SMALLEST_SHARE * q[i]:
            length = (1 - _SMALLEST_SHARE) * q[i] / -dq[i]
    return length


def _moved(live: Live, q: list[float], dq: list[float], length: float) -> list[float]:
    """Flows after a step; those of the inner ducts summed anew, so that mass stays exact."""
    flows = [0.0] * len(q)
    for i in range(len(q) - 1, -1, -1):
        kids = live.kids[i]
        flows[i] = sum([flows[k] for k in kids]) if kids else q[i] + length * dq[i]
    return flows


def _would_draw(tree: Tree, live: Live, state: State, leaf: int, laws: Laws) -> bool:
    """Whether a port held shut would draw air: its way ends in a live duct, and there is suction beyond the joint."""
    at = {duct: position for position, duct in enumerate(live.ducts)}
    duct = leaf
    while tree.ducts[duct].parent not in at:
        duct = tree.ducts[duct].parent
        if duct < 0:
            return tree.fan.pressure(0.0)[0] > 0
    meeting = tree.ducts[duct].parent
    suction = outer_suction(live.parent, state, at[meeting])
    joint = tree.joints[meeting]
    if joint is None:
        return suction > 0
    flow_of = {live.ducts[k]: state.q[k] for k in live.kids[at[meeting]]}
    losses, _ = laws[1](joint, [flow_of.get(kid, 0.0) for kid in tree.children[meeting]])
    return suction - losses[tree.children[meeting].index(duct)] > 0


def outer_suction(parent: list[int], state: State, i: int) -> float:
    """Total suction at the outer end of the live duct at position i, Pa."""
    lost = 0.0
    while i >= 0:
        lost += state.h[i] + state.j[i]
        i = parent[i]
    return state.fan - lost
