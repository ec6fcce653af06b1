"""The part of the tree that carries air, and what its flows cost: the equations that `engine.air.newton` solves.

A set of flows is right when the suction left over at the outer end of every
port and leak is nothing. Flows are by position in `Live`, that of the
collector's inlet first; every inner one is the sum of those that feed it, so
mass balances exactly.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import sqrt
from typing import NamedTuple

from engine.air.ducts import INLET, Duct, FrictionLaw, Inlet, Leak
from engine.air.losses.junctions import Joint
from engine.air.network import Supply, Tree

JointLaw = Callable[[Joint, Sequence[float]], tuple[list[float], list[list[float]]]]
Laws = tuple[FrictionLaw, JointLaw]

LEAST_HINDRANCE = 0.05
SCAN = 12  # pieces of the curve searched for its largest crossing
SMALLEST_START = 1e-6  # m3/s


class Place(NamedTuple):
    """Where ducts meet: their joint, if any, and the leaks in their walls, each by its leg and its `dynamic`.

    A leak takes no part in the joint: it stands behind it, under the static
    suction of its leg.
    """

    joint: Joint | None
    legs: int
    leaks: tuple[tuple[int, float], ...]

    def losses(self, flows: Sequence[float], law: JointLaw) -> tuple[list[float], list[list[float]]]:
        """What legs and then leaks lose [Pa] at flows of the legs [m3/s], and the slopes with the flow of each of them [Pa s/m3].

        A leak loses what its leg does, less the velocity pressure by which
        static suction is above the total one.
        """
        losses, slopes = law(self.joint, flows) if self.joint else ([0.0] * self.legs, [[0.0] * self.legs for _ in flows])
        if not self.leaks:
            return losses, slopes
        behind = [losses[leg] - dynamic * flows[leg] ** 2 for leg, dynamic in self.leaks]
        rows = [[*slopes[leg]] for leg, _ in self.leaks]
        for row, (leg, dynamic) in zip(rows, self.leaks, strict=True):
            row[leg] -= 2 * dynamic * flows[leg]
        return [*losses, *behind], [row + [0.0] * len(rows) for row in [*slopes, *rows]]


class Meeting(NamedTuple):
    """A place where air meets: which live ducts fill which of its slots, and whether they are legs and all of them."""

    place: Place
    kids: tuple[int, ...]
    slots: tuple[int, ...]
    whole: bool


@dataclass(frozen=True, slots=True)
class Live:
    """The inlet and the ducts that carry air, after their parents. `index` is of the tree; parents and kids are positions here."""

    index: tuple[int, ...]
    ducts: tuple[Duct | Leak | Inlet, ...]
    parent: tuple[int, ...]
    kids: tuple[tuple[int, ...], ...]
    meetings: tuple[Meeting | None, ...]
    leaves: tuple[int, ...]


@dataclass(slots=True)
class State:
    """Flows q with what they cost: loss h and slope g = dh/dq of each duct, j where it meets others, dj by duct at whose outer end others meet.

    `worst` is the largest suction left over at any outer end, Pa.
    """

    q: list[float]
    h: list[float]
    g: list[float]
    j: list[float]
    dj: list[list[list[float]] | None]
    fan: float
    fan_slope: float
    worst: float


def live_part(tree: Tree, leaves: Iterable[int], hindrance: Mapping[int, float]) -> Live:
    """The ways from these outer ends to the collector. `hindrance` [Pa s2/m6] adds to the `square` of runs, by position."""
    alive = tree.on_way(leaves)
    index = [-1, *sorted(alive)] if alive else []
    at = {duct: position for position, duct in enumerate(index)}
    ducts: list[Duct | Leak | Inlet] = [tree.ducts[i] if i >= 0 else INLET for i in index]
    for i, more in hindrance.items():
        if i in alive:
            ducts[at[i]] = replace(tree.runs[i], square=tree.runs[i].square + more)
    kids = [tuple([at[kid] for kid in tree.children[i] if kid in alive]) for i in index]
    meetings = [_meeting(tree, i, own, at) if own and (tree.leaks or tree.joints[i]) else None for i, own in zip(index, kids, strict=True)]
    parent = [-1, *[at[tree.ducts[i].parent] for i in index[1:]]]
    ends = [position for position, own in enumerate(kids) if not own]
    return Live(tuple(index), tuple(ducts), tuple(parent), tuple(kids), tuple(meetings), tuple(ends))


def place_of(tree: Tree, duct: int) -> Place:
    """Where those meet that join a duct, by its position in the tree; -1 is the collector."""
    joined = tree.children[duct]
    legs = [kid for kid in joined if kid < len(tree.runs)]
    leaks = [tree.leaks[kid - len(tree.runs)] for kid in joined[len(legs) :]]
    return Place(tree.joints[duct], len(legs), tuple([(legs.index(leak.wall), leak.dynamic) for leak in leaks]))


def _meeting(tree: Tree, duct: int, kids: tuple[int, ...], at: Mapping[int, int]) -> Meeting | None:
    """None where nothing but a run straight on joins."""
    here = place_of(tree, duct)
    if here.joint is None and not here.leaks:
        return None
    slots = tuple([slot for slot, kid in enumerate(tree.children[duct]) if kid in at])
    return Meeting(here, kids, slots, len(slots) == here.legs and not here.leaks)


def evaluate(fan: Supply, live: Live, q: list[float], laws: Laws, barrier: float = 0.0) -> State:
    """What flows [m3/s] cost, all of them more than 0. A `barrier` [Pa m3/s] pushes every outer end with barrier / q away from no flow."""
    friction, law = laws
    n = len(q)
    h, g, j = [0.0] * n, [0.0] * n, [0.0] * n
    dj: list[list[list[float]] | None] = [None] * n
    pressure, fan_slope = fan.pressure(q[0])
    for i, duct in enumerate(live.ducts):
        h[i], g[i] = duct.loss(q[i], friction)
    for i, meeting in enumerate(live.meetings):
        if meeting is not None:
            dj[i] = meet(meeting, q, j, law)
    if barrier:
        for i in live.leaves:
            h[i], g[i] = h[i] - barrier / q[i], g[i] + barrier / (q[i] * q[i])
    suction, parent = [pressure - h[0]], live.parent
    for i in range(1, n):
        suction.append(suction[parent[i]] - j[i] - h[i])
    worst = max([abs(suction[i]) for i in live.leaves])
    return State(q, h, g, j, dj, pressure, fan_slope, worst)


def meet(meeting: Meeting, q: list[float], j: list[float], law: JointLaw) -> list[list[float]]:
    """Write the losses where ducts meet into `j`; their Jacobian."""
    here, kids, slots, whole = meeting
    if whole:
        losses, jacobian = here.losses([q[k] for k in kids], law)
    else:
        flows = [0.0] * here.legs
        for k, slot in zip(kids, slots, strict=True):
            if slot < here.legs:
                flows[slot] = q[k]
        every, slopes = here.losses(flows, law)
        losses = [every[slot] for slot in slots]
        jacobian = [[slopes[row][column] for column in slots] for row in slots]
    for k, loss in zip(kids, losses, strict=True):
        j[k] = loss
    return jacobian


def start(fan: Supply, live: Live, law: JointLaw) -> list[float]:
    """Flows to start from: those of a network in which every loss grows as the square of its flow.

    Friction factors are then constant, and joints cost what they do where the
    ducts alone would share the air.
    """
    own = [duct.resistance for duct in live.ducts]
    joints = [0.0] * len(own)
    shares, _ = _shared(live, own, joints)
    for meeting in live.meetings:
        if meeting is not None:
            meet(meeting, shares, joints, law)
    at_joints = [loss / (share * share) if share > 0 else 0.0 for loss, share in zip(joints, shares, strict=True)]
    shares, resistance = _shared(live, own, at_joints)
    total = largest_working_flow(fan, resistance)
    return [share * total for share in shares]


def _shared(live: Live, own: list[float], at_joints: list[float]) -> tuple[list[float], float]:
    """Every duct's share of the whole flow, and the resistance of the whole."""
    n = len(own)
    resistance, conductance = own[:], [0.0] * n
    for i in range(n - 1, -1, -1):
        if live.kids[i]:
            resistance[i] += 1 / sum([conductance[k] for k in live.kids[i]]) ** 2
        # A joint may help: it is let take no more than nearly all of what hinders.
        conductance[i] = 1 / sqrt(max(resistance[i] + at_joints[i], LEAST_HINDRANCE * resistance[i], 1e-12))
    shares = [1.0] * n
    for i, kids in enumerate(live.kids):
        whole = sum([conductance[k] for k in kids])
        for k in kids:
            shares[k] = shares[i] * conductance[k] / whole
    return shares, resistance[0]


def largest_working_flow(fan: Supply, resistance: float) -> float:
    """About the largest q, m3/s, at which the fan supplies resistance x q^2, searched from the right."""
    high = max(fan.high, 1e-6)
    while fan.pressure(high)[0] > resistance * high * high:
        high *= 2
    step = high / SCAN
    low = high - step
    while low > 0 and fan.pressure(low)[0] < resistance * low * low:
        low -= step
    high = low + step
    for _ in range(6):
        middle = (low + high) / 2
        if fan.pressure(middle)[0] >= resistance * middle * middle:
            low = middle
        else:
            high = middle
    return max(low, SMALLEST_START)
