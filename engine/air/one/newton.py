"""Newton on the tree of ducts that carry air.

Each step works on the suctions: going inward each subtree becomes a line
"suction at its inner end = a + b x flow", reaches that meet share that suction,
the fan's tangent closes the root, and the new flows follow outward. No matrix
beyond the legs of one joint is formed.

Where the collector's curve rises, several flows may balance: the start is the
largest one that a network of square losses allows, which is where a fan
settles when its gates are closed down from wide open.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

from engine.air.one.ducts import FrictionLaw
from engine.air.one.live import Live, State, evaluate, live_part, losses_at, start
from engine.air.one.network import Tree

PRESSURE_TOLERANCE = 0.01  # Pa, the most any path may be out of balance
AIM = 1e-11  # of shut-off pressure, where the steps stop
_STEPS = 60
_HALVINGS = 12
_STALLED = 8
SMALLEST_SHARE = 0.2  # of its last flow that a port keeps in one step
_HELD_BELOW = 1e-13  # of the total flow: a port that shrinks to this is tried shut
_ROUNDS = 6  # of holding and letting go, for each port
_PATIENCE = 2  # times a port is let go before another is held in its place
_BARRIER, _LOWERED, _LEAST_BARRIER = 0.1, 0.2, 1e-12  # of shut-off pressure times flow


class NotConverged(Exception):  # noqa: N818 - the name says what happened
    """No set of flows balances the network within tolerance."""


def settle(
    tree: Tree, leaves: Iterable[int], hindrance: Mapping[int, float], friction: FrictionLaw, near: Sequence[float] = ()
) -> tuple[Live, State]:
    """The live part and its balanced flows, with these outer ends open.

    Those that would blow back are held shut; `Live.leaves` tells which are
    left. None is held that would draw. `near` are flows by duct to start from,
    where an answer close by is known. Raises NotConverged.
    """
    ends = tuple(leaves)
    if near and ends:
        live = live_part(tree, ends, hindrance)
        flows = [near[i] for i in live.outer]
        if min(flows) > 0:
            state, _ = _newton(tree, live, _summed(live, flows), friction)
            if state is not None:
                return live, state
    for ask_again in (True, False):
        if found := _held_right(tree, ends, hindrance, friction, ask_again):
            return found
    raise NotConverged("no set of flows balances this network")


def _held_right(
    tree: Tree, leaves: tuple[int, ...], hindrance: Mapping[int, float], friction: FrictionLaw, ask_again: bool
) -> tuple[Live, State] | None:
    """Hold outer ends shut until all others balance, and let go again those that would draw.

    Interior points tell whom to hold, whenever there is no balance or, unless
    `ask_again`, the first time only; else the end with the least flow is held.
    """
    held: list[int] = []
    let_go: Counter[int] = Counter()
    known: dict[int, float] = {}  # flows by duct, where interior points have just told whom to hold
    for _ in range(_ROUNDS * (len(leaves) + 1)):
        live = live_part(tree, (leaf for leaf in leaves if leaf not in held), hindrance)
        if not live.reaches:
            if not leaves:
                return live, State([], [], [], [], [], tree.fan.shut_off, 0.0, 0.0)
            held, known = _let_go(held, dict.fromkeys(held, tree.fan.shut_off), let_go), {}
            continue
        flows = _summed(live, [known[i] for i in live.outer]) if known else start(tree.fan, live)
        state, weak = _newton(tree, live, flows, friction)
        if state is None and known and (near := evaluate(tree.fan, live, flows, friction)).worst <= PRESSURE_TOLERANCE:
            state = near
        if state is None and (ask_again or not let_go):
            state, back, known = _pressed(tree, live, flows, friction)
            if back:
                held += back
                continue
        if state is None:
            held.append(min(weak, key=lambda leaf: let_go[leaf] // _PATIENCE))
            continue
        pull = {leaf: _pull(tree, live, state, hindrance, leaf, friction) for leaf in held}
        kept = _let_go(held, pull, let_go)
        if len(kept) == len(held):
            return live, state
        held, known = kept, {}
    return None


def _let_go(held: list[int], pull: Mapping[int, float], let_go: Counter[int]) -> list[int]:
    """The held ends less the one that would draw most, of those let go least often; counted in `let_go`."""
    drawing = [leaf for leaf in held if pull[leaf] > PRESSURE_TOLERANCE]
    if not drawing:
        return held
    freed = min(drawing, key=lambda leaf: (let_go[leaf], -pull[leaf]))
    let_go[freed] += 1
    return [leaf for leaf in held if leaf != freed]


def _pressed(tree: Tree, live: Live, flows: list[float], friction: FrictionLaw) -> tuple[State | None, list[int], dict[int, float]]:
    """Newton with a barrier that keeps every outer end drawing, then lowered.

    (balanced state, [], {}), or (None, ends that blow back, flows by duct).

    Where the barrier is all that keeps an end drawing, air would blow back
    there: interior points find such ends together, whichever way they are at odds.
    """
    fan, reached = tree.fan, None
    barrier = _BARRIER * fan.shut_off * flows[0] / len(live.leaves)
    least = _LEAST_BARRIER * fan.shut_off * flows[0]
    while barrier > least:
        lower, _ = _newton(tree, live, flows, friction, barrier)
        if lower is None:
            break
        reached, flows = barrier, lower.q
        barrier *= _LOWERED
    if reached is None:
        return None, [], {}
    back = [live.outer[i] for i in live.leaves if reached / flows[i] > PRESSURE_TOLERANCE]
    if back:
        return None, back, dict(zip(live.outer, flows, strict=True))
    return _newton(tree, live, flows, friction)[0], [], {}


def _newton(tree: Tree, live: Live, flows: list[float], friction: FrictionLaw, barrier: float = 0.0) -> tuple[State | None, list[int]]:
    """(state, []), or None and the leaves, the one with the least flow first."""
    fan = tree.fan
    aim = max(AIM * fan.shut_off, 1e-9)
    state, stalls = evaluate(fan, live, flows, friction, barrier), 0
    for _ in range(_STEPS):
        if state.worst <= aim or (stalls > 3 and state.worst <= PRESSURE_TOLERANCE / 10):
            return state, []
        step = _step(live, state)
        if step is None:
            break
        last, state = state, _shortened(tree, live, state, step, friction, barrier)
        stalls = stalls + 1 if state.worst >= 0.9 * last.worst else 0
        if stalls > _STALLED or min([state.q[i] for i in live.leaves]) < _HELD_BELOW * state.q[0]:
            break
    return None, [live.outer[i] for i in sorted(live.leaves, key=lambda i: state.q[i])]


def _shortened(tree: Tree, live: Live, state: State, step: list[float], friction: FrictionLaw, barrier: float) -> State:
    """The state after the step, halved until it helps; the best one tried where it never does."""
    length = _longest(live, state.q, step)
    best = trial = evaluate(tree.fan, live, _stepped(live, state.q, step, length), friction, barrier)
    for _ in range(_HALVINGS - 1):
        if trial.worst < state.worst:
            break
        length /= 2
        trial = evaluate(tree.fan, live, _stepped(live, state.q, step, length), friction, barrier)
        if trial.worst < best.worst:
            best = trial
    return best


def _step(live: Live, state: State) -> list[float] | None:
    """The Newton step of every flow, or None where the tangent network has no answer.

    Going inward each reach becomes ds = a + b dq for the suction s at its inner
    end, before the joint; going outward the steps dq follow from the fan's.
    """
    n = len(state.q)
    a, b = [0.0] * n, [0.0] * n
    split: list[tuple[list[float], list[float]] | None] = [None] * n
    for i in range(n - 1, -1, -1):
        a[i], b[i] = state.h[i], state.g[i]
        kids = live.kids[i]
        if len(kids) == 1:
            a[i] += a[kids[0]]
            b[i] += b[kids[0]]
        elif kids:
            meet = _shared_suction(kids, a, b, state.j, state.dj[i])
            if meet is None:
                return None
            split[i], (u, w) = meet, meet
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
    for i, (shared, kids) in enumerate(zip(split, live.kids, strict=True)):
        if len(kids) == 1:
            dq[kids[0]] = dq[i]
        elif shared is not None:
            u, w = shared
            ds = (dq[i] + sum(w)) / sum(u)
            for k, uk, wk in zip(kids, u, w, strict=True):
                dq[k] = uk * ds - wk
    return dq


def _shared_suction(
    kids: tuple[int, ...], a: list[float], b: list[float], j: list[float], dj: list[list[float]] | None
) -> tuple[list[float], list[float]] | None:
    """Reaches that meet share one suction S: M dq = S 1 - r; returns u = M^-1 1 and w = M^-1 r."""
    if len(kids) == 2 and dj:
        k, other = kids
        m00, m01, m10, m11 = b[k] + dj[0][0], dj[0][1], dj[1][0], b[other] + dj[1][1]
        r0, r1, det = a[k] + j[k], a[other] + j[other], m00 * m11 - m01 * m10
        if det == 0.0:
            return None
        return [(m11 - m01) / det, (m00 - m10) / det], [(m11 * r0 - m01 * r1) / det, (m00 * r1 - m10 * r0) / det]
    rows = [[*row, 1.0, a[k] + j[k]] for k, row in zip(kids, dj or [], strict=True)]
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
                rows[r] = [value - factor * top for value, top in zip(rows[r], rows[c], strict=True)]
    return [row[n] for row in rows], [row[n + 1] for row in rows]


def _longest(live: Live, q: list[float], dq: list[float]) -> float:
    """The share of the step that leaves every port at least a fifth of its flow."""
    length = 1.0
    for i in live.leaves:
        if q[i] + dq[i] * length < SMALLEST_SHARE * q[i]:
            length = (1 - SMALLEST_SHARE) * q[i] / -dq[i]
    return length


def _stepped(live: Live, q: list[float], dq: list[float], length: float) -> list[float]:
    """Flows after a step; those of the inner reaches summed anew, so that mass stays exact."""
    return _summed(live, [flow + length * change for flow, change in zip(q, dq, strict=True)])


def _summed(live: Live, flows: list[float]) -> list[float]:
    """Flows with every inner reach's made the sum of those that feed it."""
    for i in range(len(flows) - 1, -1, -1):
        kids = live.kids[i]
        if len(kids) == 1:
            flows[i] = flows[kids[0]]
        elif kids:
            flows[i] = sum([flows[k] for k in kids])
    return flows


def _pull(tree: Tree, live: Live, state: State, hindrance: Mapping[int, float], leaf: int, friction: FrictionLaw) -> float:
    """Suction, Pa, that an outer end held shut would feel at its own joint: above 0 it would draw after all."""
    flows = live.flows(state.q)
    duct, meeting = next(pair for pair in pairwise([*tree.inward(leaf), -1]) if pair[1] in flows)
    suction = state.fan
    for passed, inner in pairwise([*tree.inward(meeting), -1]):
        q = flows[passed]
        suction -= tree.ducts[passed].loss(q, friction)[0] + hindrance.get(passed, 0.0) * q * q + _joint_loss(tree, inner, passed, flows)
    return suction - _joint_loss(tree, meeting, duct, flows)


def _joint_loss(tree: Tree, place: int, duct: int, flows: Mapping[int, float]) -> float:
    """What a duct loses where it joins at the outer end of another, Pa."""
    return losses_at(tree, place, flows)[tree.children[place].index(duct)]
