"""The part of the tree that carries air, and what its flows cost: the equations that `engine.air.one.newton` solves.

A set of flows is right when the suction left over at the outer end of every
port and leak is nothing. Flows are by position in `Live`, that of the
collector's inlet first; every inner one is the sum of those that feed it, so
mass balances exactly.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from math import sqrt
from typing import NamedTuple

from engine.air.losses.junctions import Joint, lone_leg, momentum
from engine.air.one.ducts import FrictionLaw, Leak, Reach, reach_of
from engine.air.one.network import Supply, Tree
from engine.design.kept import ROWS, SETS, WHOLES, kept, same
from engine.values import dataclass

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

    def losses(self, flows: Sequence[float]) -> tuple[list[float], list[list[float]]]:
        """What legs and then leaks lose [Pa] at flows of the legs [m3/s], and the slopes with the flow of each of them [Pa s/m3].

        A leak loses what its leg does, less the velocity pressure by which
        static suction is above the total one.
        """
        losses, slopes = momentum(self.joint, flows) if self.joint else ([0.0] * self.legs, [[0.0] * self.legs for _ in flows])
        if not self.leaks:
            return losses, slopes
        behind = [losses[leg] - dynamic * flows[leg] ** 2 for leg, dynamic in self.leaks]
        rows = [[*slopes[leg]] for leg, _ in self.leaks]
        for row, (leg, dynamic) in zip(rows, self.leaks, strict=True):
            row[leg] -= 2 * dynamic * flows[leg]
        return [*losses, *behind], [row + [0.0] * len(rows) for row in [*slopes, *rows]]

    def lone(self, slot: int) -> float:
        """What the one of them that is live loses over the square of its flow, Pa s2/m6."""
        return lone_leg(self.joint, slot)[slot] if self.joint and slot < self.legs else 0.0


class Meeting(NamedTuple):
    """A place where several live reaches meet and lose something, at the outer end of the reach `at`.

    `kids` are the reaches, `slots` which of the place's they fill; `whole`
    tells whether they are legs and all of them. `legs` are the live reaches of
    its legs, -1 for a shut one.
    """

    at: int
    place: Place
    kids: tuple[int, ...]
    slots: tuple[int, ...]
    legs: tuple[int, ...]
    whole: bool


class Live(NamedTuple):
    """What carries air, as reaches from the inlet outward, each after its parent: what one flow passes is one.

    `ways` are the ducts of each reach by their positions in the tree, inward
    ones first, `outer` the outermost of them: -1 for the inlet alone. `lone` is
    what a reach loses over its flow squared where its ducts join each other and
    nothing else there is live, Pa s2/m6. `parent` and `leaves` are positions
    here; `inner` are the reaches that others feed, each with these.
    """

    reaches: tuple[Reach | Leak, ...]
    ways: tuple[tuple[int, ...], ...]
    outer: tuple[int, ...]
    lone: tuple[float, ...]
    parent: tuple[int, ...]
    inner: tuple[tuple[int, tuple[int, ...]], ...]
    meetings: tuple[Meeting, ...]
    leaves: tuple[int, ...]

    def flows(self, q: Sequence[float]) -> dict[int, float]:
        """Flows of reaches as those of the ducts, by position in the tree, the collector's as -1."""
        of_ducts = {duct: flow for way, flow in zip(self.ways, q, strict=True) for duct in way}
        return {-1: q[0], **of_ducts} if q else {}


@dataclass(slots=True)
class State:
    """Flows q with what they cost: loss h and slope g = dh/dq of each reach, j where it meets others, dj by reach at whose outer end others meet.

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
    ways = _ways(tree.children, places_of(tree), *leaves)
    return Live(tuple([_reach(tree, way, lone, hindrance) for way, lone in zip(ways.ways, ways.lone, strict=True)]), *ways[1:])


def live_again(tree: Tree, live: Live, changed: Iterable[int], hindrance: Mapping[int, float]) -> Live:
    """A live part in a tree of which only ducts at the positions `changed` are others."""
    reaches, others = [*live.reaches], frozenset(changed)
    for at, way in enumerate(live.ways):
        if not others.isdisjoint(way):
            reaches[at] = _reach(tree, way, live.lone[at], hindrance)
    return Live(tuple(reaches), *live[1:])


def _reach(tree: Tree, way: tuple[int, ...], lone: float, hindrance: Mapping[int, float]) -> Reach | Leak:
    if way and way[0] >= len(tree.runs):
        return tree.leaks[way[0] - len(tree.runs)]
    reach = reach_of(lone, *[tree.runs[i] for i in way])
    more = sum([hindrance.get(i, 0.0) for i in way]) if hindrance else 0.0
    return replace(reach, square=reach.square + more) if more else reach


@kept(SETS)
def _ways(children: tuple[tuple[int, ...], ...], places: tuple[Place, ...], *leaves: int) -> Live:
    """The ways from these outer ends to the collector, still without what they cost."""
    parents = {kid: parent for parent, kids in enumerate((*children[:-1], ())) for kid in kids}
    alive: set[int] = set()
    for leaf in leaves:
        duct = leaf
        while duct >= 0 and duct not in alive:
            alive.add(duct)
            duct = parents.get(duct, -1)
    ways: list[list[int]] = []
    lone: list[float] = []
    begun = [(-1, -1)] if alive else []  # the duct that a reach begins with, and the reach it joins
    for duct, _ in begun:
        way, lost = [duct], 0.0
        while True:
            joined, here = children[way[-1]], places[way[-1]]
            kids = [kid for kid in joined if kid in alive]
            if len(kids) != 1 or (slot := joined.index(kids[0])) >= here.legs:
                break
            lost += here.lone(slot)
            way += kids
        begun += [(kid, len(ways)) for kid in kids]
        ways.append(way)
        lone.append(lost)
    parent = [joins for _, joins in begun]
    kids_of = [tuple([at for at, joins in enumerate(parent) if joins == reach]) for reach in range(len(ways))]
    at = {way[0]: position for position, way in enumerate(ways)}
    return Live(
        reaches=(), ways=tuple([tuple([duct for duct in way if duct >= 0]) for way in ways]), outer=tuple([way[-1] for way in ways]),
        lone=tuple(lone), parent=tuple(parent), inner=tuple([(reach, own) for reach, own in enumerate(kids_of) if own]),
        meetings=tuple([
            _meeting(reach, children[way[-1]], places[way[-1]], own, at)
            for reach, (way, own) in enumerate(zip(ways, kids_of, strict=True))
            if len(own) > 1 and (places[way[-1]].joint or places[way[-1]].leaks)
        ]),
        leaves=tuple([position for position, own in enumerate(kids_of) if not own]),
    )  # fmt: skip


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
    return same(*places)


@kept(ROWS)
def _place(joint: Joint | None, legs: int, *leaks: float) -> Place:
    return Place(joint, legs, tuple([(int(leg), dynamic) for leg, dynamic in zip(leaks[::2], leaks[1::2], strict=True)]))


def _meeting(reach: int, joined: tuple[int, ...], here: Place, kids: tuple[int, ...], at: Mapping[int, int]) -> Meeting:
    slots = tuple([slot for slot, kid in enumerate(joined) if kid in at])
    legs = tuple([at.get(kid, -1) for kid in joined[: here.legs]])
    return Meeting(reach, here, kids, slots, legs, len(slots) == here.legs and not here.leaks)


def losses_at(tree: Tree, duct: int, flows: Mapping[int, float]) -> list[float]:
    """What all that meet at the outer end of a duct lose there [Pa], shut ones as a first breath of air would; flows are by position in the tree."""
    here = places_of(tree)[duct]
    return here.losses([flows.get(kid, 0.0) for kid in tree.children[duct][: here.legs]])[0]


def evaluate(fan: Supply, live: Live, q: list[float], friction: FrictionLaw, barrier: float = 0.0) -> State:
    """What flows [m3/s] cost, all of them more than 0. A `barrier` [Pa m3/s] pushes every outer end with barrier / q away from no flow."""
    costs = [reach.loss(flow, friction) for reach, flow in zip(live.reaches, q, strict=True)]
    h, g = [loss for loss, _ in costs], [slope for _, slope in costs]
    j, dj = met(live, q)
    pressure, fan_slope = fan.pressure(q[0])
    if barrier:
        for i in live.leaves:
            h[i], g[i] = h[i] - barrier / q[i], g[i] + barrier / (q[i] * q[i])
    return State(q, h, g, j, dj, pressure, fan_slope, _most_left(live, h, j, pressure))


def evaluate_again(live: Live, before: Live, state: State, friction: FrictionLaw) -> State:
    """What the flows of a state cost in a live part that differs from the one `before` in what some reaches cost."""
    h, g = state.h[:], state.g[:]
    for i, (reach, old) in enumerate(zip(live.reaches, before.reaches, strict=True)):
        if reach is not old:
            h[i], g[i] = reach.loss(state.q[i], friction)
    return State(state.q, h, g, state.j, state.dj, state.fan, state.fan_slope, _most_left(live, h, state.j, state.fan))


def _most_left(live: Live, h: Sequence[float], j: Sequence[float], pressure: float) -> float:
    """The largest suction left over at any outer end, Pa."""
    suction, parent = [pressure - h[0]], live.parent
    for i in range(1, len(h)):
        suction.append(suction[parent[i]] - j[i] - h[i])
    return max([abs(suction[i]) for i in live.leaves])


def met(live: Live, q: Sequence[float]) -> tuple[list[float], list[list[list[float]] | None]]:
    """What each reach loses where it meets others [Pa], and the Jacobians by the reach at whose outer end they meet."""
    j = [0.0] * len(q)
    dj: list[list[list[float]] | None] = [None] * len(q)
    for at, here, kids, slots, legs, whole in live.meetings:
        losses, slopes = here.losses([q[k] if k >= 0 else 0.0 for k in legs])
        for k, slot in zip(kids, slots, strict=True):
            j[k] = losses[slot]
        dj[at] = slopes if whole else [[slopes[row][column] for column in slots] for row in slots]
    return j, dj


def start(fan: Supply, live: Live) -> list[float]:
    """Flows to start from: those of a network in which every loss grows as the square of its flow.

    Friction factors are then constant, and joints cost what they do where
    they alone would share the air.
    """
    own = [reach.resistance for reach in live.reaches]
    shares, _ = _shared(live, [resistance - lone for resistance, lone in zip(own, live.lone, strict=True)], [0.0] * len(own))
    joints, _ = met(live, shares)
    at_joints = [loss / (share * share) if share > 0 else 0.0 for loss, share in zip(joints, shares, strict=True)]
    shares, resistance = _shared(live, own, at_joints)
    total = largest_working_flow(fan, resistance)
    return [share * total for share in shares]


def _shared(live: Live, own: list[float], at_joints: list[float]) -> tuple[list[float], float]:
    """Every reach's share of the whole flow, and the resistance of the whole."""
    resistance, conductance, fed = own[:], [0.0] * len(own), dict(live.inner)
    for i in reversed(range(len(own))):
        if i in fed:
            resistance[i] += 1 / sum([conductance[k] for k in fed[i]]) ** 2
        # A joint may help: it is let take no more than nearly all of what hinders.
        conductance[i] = 1 / sqrt(max(resistance[i] + at_joints[i], LEAST_HINDRANCE * resistance[i], 1e-12))
    shares = [1.0] * len(own)
    for i, kids in live.inner:
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
