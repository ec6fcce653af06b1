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
from math import inf, sqrt
from typing import NamedTuple

from engine.air.one.ducts import FrictionLaw
from engine.air.one.live import Live, State, evaluate, evaluate_again, live_part, losses_at, start
from engine.air.one.network import Tree
from engine.air.one.tangents import newton_step as _step

PRESSURE_TOLERANCE = 0.01  # Pa, the most any path may be out of balance
AIM = 1e-11  # of shut-off pressure, where the steps stop
_STEPS = 60
_HALVINGS = 12
_STALLED = 8
SMALLEST_SHARE = 0.2  # of its last flow that a port keeps in one step
_SURE = 1e-10  # of its flow, the most that a port's may still be out after a step that is not looked at
SMALL = 0.02  # of its flow, the most that a port's changes in a small step
STEEP = 20.0  # times the collector's pressure over its flow: steeper curves go with the flow, not with its square
_HELD_BELOW = 1e-13  # of the total flow: a port that shrinks to this is tried shut
_ROUNDS = 6  # of holding and letting go, for each port
_PATIENCE = 2  # times a port is let go before another is held in its place
_BARRIER, _LOWERED, _LEAST_BARRIER = 0.1, 0.2, 1e-12  # of shut-off pressure times flow


class Settled(NamedTuple):
    """Balanced flows q by position in their live part, m3/s, and what is left at its worst outer end, Pa.

    `looked` is the state that was looked at last: the flows themselves, or
    those before a last step that was sure.
    """

    q: list[float]
    worst: float
    looked: State


class NotConverged(Exception):  # noqa: N818 - the name says what happened
    """No set of flows balances the network within tolerance."""


def settle(
    tree: Tree, leaves: Iterable[int], hindrance: Mapping[int, float], friction: FrictionLaw, near: Sequence[float] = ()
) -> tuple[Live, Settled]:
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
            settled, _ = _newton(tree, live, evaluate(tree.fan, live, _summed(live, flows), friction), friction)
            if settled is not None:
                return live, settled
    for ask_again in (True, False):
        if found := _held_right(tree, ends, hindrance, friction, ask_again):
            return found
    raise NotConverged("no set of flows balances this network")


def settle_again(tree: Tree, live: Live, before: Live, settled: Settled, friction: FrictionLaw) -> Settled | None:
    """The balanced flows of a live part that differs from the one `before` in what its reaches cost; None where the steps lead to none."""
    return _newton(tree, live, evaluate_again(live, before, settled.looked, friction), friction)[0]


def _held_right(
    tree: Tree, leaves: tuple[int, ...], hindrance: Mapping[int, float], friction: FrictionLaw, ask_again: bool
) -> tuple[Live, Settled] | None:
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
                return live, Settled([], 0.0, State([], [], [], [], [], tree.fan.shut_off, 0.0, 0.0))
            held, known = _let_go(held, dict.fromkeys(held, tree.fan.shut_off), let_go), {}
            continue
        flows = _summed(live, [known[i] for i in live.outer]) if known else start(tree.fan, live)
        begun = evaluate(tree.fan, live, flows, friction)
        settled, weak = _newton(tree, live, begun, friction)
        if settled is None and known and begun.worst <= PRESSURE_TOLERANCE:
            settled = Settled(begun.q, begun.worst, begun)
        if settled is None and (ask_again or not let_go):
            settled, back, known = _pressed(tree, live, flows, friction)
            if back:
                held += back
                continue
        if settled is None:
            held.append(min(weak, key=lambda leaf: let_go[leaf] // _PATIENCE))
            continue
        pull = {leaf: _pull(tree, live, settled.q, hindrance, leaf, friction) for leaf in held}
        kept = _let_go(held, pull, let_go)
        if len(kept) == len(held):
            return live, settled
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


def _pressed(tree: Tree, live: Live, flows: list[float], friction: FrictionLaw) -> tuple[Settled | None, list[int], dict[int, float]]:
    """Newton with a barrier that keeps every outer end drawing, then lowered.

    (balanced flows, [], {}), or (None, ends that blow back, flows by duct).

    Where the barrier is all that keeps an end drawing, air would blow back
    there: interior points find such ends together, whichever way they are at odds.
    """
    fan, reached = tree.fan, None
    barrier = _BARRIER * fan.shut_off * flows[0] / len(live.leaves)
    least = _LEAST_BARRIER * fan.shut_off * flows[0]
    while barrier > least:
        lower, _ = _newton(tree, live, evaluate(fan, live, flows, friction, barrier), friction, barrier)
        if lower is None:
            break
        reached, flows = barrier, lower.q
        barrier *= _LOWERED
    if reached is None:
        return None, [], {}
    back = [live.outer[i] for i in live.leaves if reached / flows[i] > PRESSURE_TOLERANCE]
    if back:
        return None, back, dict(zip(live.outer, flows, strict=True))
    return _newton(tree, live, evaluate(fan, live, flows, friction), friction)[0], [], {}


def _newton(tree: Tree, live: Live, state: State, friction: FrictionLaw, barrier: float = 0.0) -> tuple[Settled | None, list[int]]:
    """(balanced flows, []) by steps from a state, or None and the leaves, the one with the least flow first.

    The last step is not looked at where the one before it tells what it leaves.
    """
    aim = max(AIM * tree.fan.shut_off, 1e-9)
    last, stalls = None, 0
    for _ in range(_STEPS):
        if state.worst <= aim or (stalls > 3 and state.worst <= PRESSURE_TOLERANCE / 10):
            return Settled(state.q, state.worst, state), []
        step = _step(live, state)
        if step is None:
            break
        if last and not barrier and state.worst <= PRESSURE_TOLERANCE and (left := _left_after(live, last, state, step)) <= aim:
            return Settled(_stepped(live, state, step, 1.0), left, state), []
        last, state = state, _shortened(tree, live, state, step, friction, barrier)
        stalls = stalls + 1 if state.worst >= 0.9 * last.worst else 0
        if stalls > _STALLED or min([state.q[i] for i in live.leaves]) < _HELD_BELOW * state.q[0]:
            break
    return None, [live.outer[i] for i in sorted(live.leaves, key=lambda i: state.q[i])]


def _left_after(live: Live, last: State, state: State, step: list[float]) -> float:
    """About what a step will leave, Pa: after a small one, which left what is left now, that shrinks as the square of the steps.

    No bound is told where that was not small, or where a port's flow would still be out by more than `_SURE` of it.
    """
    came = max([abs(state.q[i] / last.q[i] - 1.0) for i in live.leaves])
    goes = max([abs(step[i] / state.q[i]) for i in live.leaves])
    return state.worst * (goes / came) ** 2 if came < SMALL and goes**3 < _SURE * came**2 else inf


def _shortened(tree: Tree, live: Live, state: State, step: list[float], friction: FrictionLaw, barrier: float) -> State:
    """The state after the step, halved until it helps; the best one tried where it never does."""
    length = _longest(live, state.q, step)
    best = trial = evaluate(tree.fan, live, _stepped(live, state, step, length), friction, barrier)
    for _ in range(_HALVINGS - 1):
        if trial.worst < state.worst:
            break
        length /= 2
        trial = evaluate(tree.fan, live, _stepped(live, state, step, length), friction, barrier)
        if trial.worst < best.worst:
            best = trial
    return best


def _longest(live: Live, q: list[float], dq: list[float]) -> float:
    """The share of the step that leaves every port at least a fifth of its flow."""
    length = 1.0
    for i in live.leaves:
        if q[i] + dq[i] * length < SMALLEST_SHARE * q[i]:
            length = (1 - SMALLEST_SHARE) * q[i] / -dq[i]
    return length


def _stepped(live: Live, state: State, dq: list[float], length: float) -> list[float]:
    """Flows after a step; those of the inner reaches summed anew, so that mass stays exact.

    Small steps are those of the squares of the flows, as nearly all losses go with these, unless the collector's curve is steep.
    """
    q, flows = state.q, state.q[:]
    squares = length * max([abs(dq[i]) / q[i] for i in live.leaves]) < SMALL and -state.fan_slope * q[0] < STEEP * state.fan
    for i in live.leaves:
        change = length * dq[i]
        flows[i] = sqrt(q[i] * (q[i] + 2.0 * change)) if squares else q[i] + change
    return _summed(live, flows)


def _summed(live: Live, flows: list[float]) -> list[float]:
    """Flows with every inner reach's made the sum of those that feed it."""
    for i, kids in reversed(live.inner):
        flows[i] = sum([flows[k] for k in kids])
    return flows


def _pull(tree: Tree, live: Live, q: Sequence[float], hindrance: Mapping[int, float], leaf: int, friction: FrictionLaw) -> float:
    """Suction, Pa, that an outer end held shut would feel at its own joint: above 0 it would draw after all."""
    flows = live.flows(q)
    duct, meeting = next(pair for pair in pairwise([*tree.inward(leaf), -1]) if pair[1] in flows)
    suction = tree.fan.pressure(flows[-1])[0]
    for passed, inner in pairwise([*tree.inward(meeting), -1]):
        flow = flows[passed]
        suction -= tree.ducts[passed].loss(flow, friction)[0] + hindrance.get(passed, 0.0) * flow * flow + _joint_loss(tree, inner, passed, flows)
    return suction - _joint_loss(tree, meeting, duct, flows)


def _joint_loss(tree: Tree, place: int, duct: int, flows: Mapping[int, float]) -> float:
    """What a duct loses where it joins at the outer end of another, Pa."""
    return losses_at(tree, place, flows)[tree.children[place].index(duct)]
