"""The part of the tree that carries air, and what its flows cost: the equations that `engine.air.one.newton` solves.

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

from engine.air.losses.junctions import Joint, lone_leg, momentum
from engine.air.one.ducts import INLET, Duct, FrictionLaw, Inlet, Leak
from engine.air.one.network import Supply, Tree
from engine.design.kept import ROWS, SETS, WHOLES, kept

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
    """A place where air meets: which live ducts fill which of its slots, and whether they are legs and all of them.

    `legs` are the live ducts of its legs, -1 for a shut one. `lone` is what all legs lose
    at 1 m3/s of the only one that is live, Pa s2/m6, by the law of momentum; none where several are.
    """

    place: Place
    kids: tuple[int, ...]
    slots: tuple[int, ...]
    legs: tuple[int, ...]
    whole: bool
    lone: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Live:
    """The inlet and the ducts that carry air, after their parents. `index` is of the tree; parents and kids are positions here."""

    ducts: tuple[Duct | Leak | Inlet, ...]
    index: tuple[int, ...]
    parent: tuple[int, ...]
    kids: tuple[tuple[int, ...], ...]
    meetings: tuple[Meeting | None, ...]
    leaves: tuple[int, ...]


@dataclass(slots=True)
class State:
    """Flows q with what they cost: loss h and slope g = dh/dq of each duct, j where it meets others, dj by duct at whose outer end others meet.

    `met` is by duct what all that meet at its outer end lose, Pa, those that are shut too.
    `worst` is the largest suction left over at any outer end, Pa.
    """

    q: list[float]
    h: list[float]
    g: list[float]
    j: list[float]
    dj: list[list[list[float]] | None]
    met: list[list[float] | None]
    fan: float
    fan_slope: float
    worst: float


def live_part(tree: Tree, leaves: Iterable[int], hindrance: Mapping[int, float]) -> Live:
    """The ways from these outer ends to the collector. `hindrance` [Pa s2/m6] adds to the `square` of runs, by position."""
    ways = _ways(tree.children, places_of(tree), *leaves)
    ducts: list[Duct | Leak | Inlet] = [tree.ducts[i] if i >= 0 else INLET for i in ways.index]
    for i, more in hindrance.items():
        if i in ways.index:
            ducts[ways.index.index(i)] = replace(tree.runs[i], square=tree.runs[i].square + more)
    return Live(tuple(ducts), ways.index, ways.parent, ways.kids, ways.meetings, ways.leaves)


@kept(SETS)
def _ways(children: tuple[tuple[int, ...], ...], places: tuple[Place, ...], *leaves: int) -> Live:
    """The ways from these outer ends to the collector, still without their ducts."""
    parents = {kid: parent for parent, kids in enumerate((*children[:-1], ())) for kid in kids}
    alive: set[int] = set()
    for leaf in leaves:
        duct = leaf
        while duct >= 0 and duct not in alive:
            alive.add(duct)
            duct = parents.get(duct, -1)
    index = [-1, *sorted(alive)] if alive else []
    at = {duct: position for position, duct in enumerate(index)}
    kids = [tuple([at[kid] for kid in children[i] if kid in alive]) for i in index]
    meetings = [_meeting(children[i], places[i], own, at) if own else None for i, own in zip(index, kids, strict=True)]
    parent = [-1, *[at[parents.get(i, -1)] for i in index[1:]]]
    ends = [position for position, own in enumerate(kids) if not own]
    return Live((), tuple(index), tuple(parent), tuple(kids), tuple(meetings), tuple(ends))


def places_of(tree: Tree) -> tuple[Place, ...]:
    """Where ducts meet at the outer end of each duct, by position, and at the collector; the same object for trees whose ducts meet alike."""
    return _places(tree.joints, tree.children, tree.leaks, len(tree.runs))


@kept(WHOLES)
def _places(joints: tuple[Joint | None, ...], children: tuple[tuple[int, ...], ...], leaks: tuple[Leak, ...], runs: int) -> tuple[Place, ...]:
    places = []
    for joint, joined in zip(joints, children, strict=True):
        legs = [kid for kid in joined if kid < runs]
        walls = [leaks[kid - runs] for kid in joined[len(legs) :]]
        places.append(_place(joint, len(legs), *[number for leak in walls for number in (legs.index(leak.wall), leak.dynamic)]))
    return _one_of(*places)


@kept(ROWS)
def _place(joint: Joint | None, legs: int, *leaks: float) -> Place:
    return Place(joint, legs, tuple([(int(leg), dynamic) for leg, dynamic in zip(leaks[::2], leaks[1::2], strict=True)]))


@kept(WHOLES)
def _one_of(*places: Place) -> tuple[Place, ...]:
    """One tuple for the same places."""
    return places


def _meeting(joined: tuple[int, ...], here: Place, kids: tuple[int, ...], at: Mapping[int, int]) -> Meeting | None:
    """None where nothing but a run straight on joins."""
    if here.joint is None and not here.leaks:
        return None
    slots = tuple([slot for slot, kid in enumerate(joined) if kid in at])
    legs = tuple([at.get(kid, -1) for kid in joined[: here.legs]])
    lone = lone_leg(here.joint, slots[0]) if here.joint and len(slots) == 1 and not here.leaks else ()
    return Meeting(here, kids, slots, legs, len(slots) == here.legs and not here.leaks, lone)


def evaluate(fan: Supply, live: Live, q: list[float], laws: Laws, barrier: float = 0.0) -> State:
    """What flows [m3/s] cost, all of them more than 0. A `barrier` [Pa m3/s] pushes every outer end with barrier / q away from no flow."""
    friction, law = laws
    n = len(q)
    costs = [duct.loss(flow, friction) for duct, flow in zip(live.ducts, q, strict=True)]
    h, g, j = [loss for loss, _ in costs], [slope for _, slope in costs], [0.0] * n
    dj: list[list[list[float]] | None] = [None] * n
    met: list[list[float] | None] = [None] * n
    pressure, fan_slope = fan.pressure(q[0])
    for i, meeting in enumerate(live.meetings):
        if meeting is not None:
            met[i], dj[i] = meet(meeting, q, j, law)
    if barrier:
        for i in live.leaves:
            h[i], g[i] = h[i] - barrier / q[i], g[i] + barrier / (q[i] * q[i])
    suction, parent = [pressure - h[0]], live.parent
    for i in range(1, n):
        suction.append(suction[parent[i]] - j[i] - h[i])
    worst = max([abs(suction[i]) for i in live.leaves])
    return State(q, h, g, j, dj, met, pressure, fan_slope, worst)


def meet(meeting: Meeting, q: list[float], j: list[float], law: JointLaw) -> tuple[list[float], list[list[float]]]:
    """Write the losses where ducts meet into `j`; those of all that meet there, shut ones too, and the Jacobian of the live ones."""
    here, kids, slots, legs, whole, lone = meeting
    if lone and law is momentum:
        q0 = q[kids[0]]
        losses = [loss * q0 * q0 for loss in lone]
        j[kids[0]] = losses[slots[0]]
        return losses, [[2.0 * lone[slots[0]] * q0]]
    if whole:
        losses, jacobian = here.losses([q[k] for k in kids], law)
        for k, loss in zip(kids, losses, strict=True):
            j[k] = loss
        return losses, jacobian
    losses, slopes = here.losses([q[k] if k >= 0 else 0.0 for k in legs], law)
    for k, slot in zip(kids, slots, strict=True):
        j[k] = losses[slot]
    return losses, [[slopes[row][column] for column in slots] for row in slots]


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
