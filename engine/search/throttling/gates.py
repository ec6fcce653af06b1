"""The gates of one set, drawn in so that the air is divided as wanted.

Throttled is from the top: no machine is left more than a certain multiple of
its need, the cap, and only gates of machines that have more are drawn in. A
lower cap leaves more suction for the others. The cap at which the neediest
machine just gets its need is the least throttling that does; the cap that the
neediest reaches too is the most even division, and no throttling gives the
neediest more as long as drawing in a gate takes air from nobody else.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import floor

from engine.air.losses.gates import open_gate, throttled
from engine.air.one.balance import NONE_THROTTLED, Balance, solve, velocity_pressure
from engine.air.one.network import Tree, ports_for
from engine.air.one.newton import NotConverged
from engine.design import GateSet, Throttle
from engine.design.entries import entries
from engine.values import dataclass

# A gate is set to a hundredth of its way, to a thousandth only where that is too coarse: judgement.
STEPS = (0.01, 0.001)
# Never nearer to shut than a design may say.
LEAST_OPEN = entries(Throttle)["open"].low
# Relative: how near the cap and the gates are followed, and how many trials that may take.
_NEAR_CAP, _NEAR_SHARE = 1e-4, 1e-6
_TRIALS, _CAPS, _SWEEPS, _HALVINGS = 60, 40, 6, 40
# Shares of a need nearer than this are alike: in the search for a cap, and where gates are set in steps (judgement).
_ALIKE, _ALIKE_IN_PRACTICE = 1e-4, 0.001

# Gate -> the share of its way that is open; gates that are not named are wide open.
Openings = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Opening:
    """How far a gate stands open: a share of its way; `travel` the height of the opening in m, of a blade in a `bore` m wide."""

    gate: str
    open: float
    travel: float
    bore: float


class Gates:
    """The gates of a set that can be throttled, in their network. They are throttled by what they add to a coefficient."""

    def __init__(self, tree: Tree, gate_set: GateSet) -> None:
        self._tree = tree
        self._open = ports_for(tree, gate_set.open)
        at_work = set(gate_set.open)
        self._working = [port for port in self._open if port.split("/")[0] in at_work and tree.ports[port].needs.si > 0]
        # Each gate that is the outermost on some working port's way, with every working port beyond it.
        own = dict.fromkeys(tree.gates_to[port][-1] for port in self._working if tree.gates_to[port])
        self._beyond = {gate: [port for port in self._working if gate in tree.gates_to[port]] for gate in own}
        self._duct_of = {gate: i for i, duct in enumerate(tree.runs) for gate in duct.gates}
        self._near: Balance | None = None

    def _balance(self, openings: Openings) -> Balance | None:
        """The network with gates open so far; None without an answer."""
        try:
            found = solve(self._tree, self._open, throttled=openings or NONE_THROTTLED, near=self._near)
        except NotConverged:
            return None
        self._near = found
        return found

    def shares(self, openings: Openings) -> dict[str, float]:
        """What each working port gets of its need; empty without an answer."""
        found = self._balance(openings)
        return {port: found.ports[port].flow / found.ports[port].needs for port in self._working} if found else {}

    def _least_share(self, openings: Openings) -> float:
        """What the neediest gets."""
        return min(self.shares(openings).values(), default=0.0)

    def beside(self, port: str) -> list[str]:
        """The other working ports behind the gate that is the outermost on a port's way: no gate divides the air between them."""
        return [other for ports in self._beyond.values() if port in ports for other in ports if other != port]

    def opening(self, gate: str, share: float) -> Opening:
        """How far a gate stands open by a share of its way."""
        bore = self._tree.runs[self._duct_of[gate]].bore
        return Opening(gate, share, share * bore, bore)

    def alone(self, port: str) -> float | None:
        """The share of its need that a port gets with only its own machine's gates open."""
        lone = GateSet(name=port, open=(port.split("/")[0],))
        return Gates(self._tree, lone).shares({}).get(port)

    def divide(self, goal: float | None) -> dict[str, float]:
        """Openings as gates can be set: the neediest gets `goal` of its need, or as much as can be where that is less or None.

        Gates are as open as can be with that; those that stay wide open are
        left out.
        """
        return self._in_steps(self._to_cap(goal), goal)

    def _to_cap(self, goal: float | None) -> dict[str, float]:
        """Openings at the highest cap at which the neediest gets `goal`, or at the most even one where none does or None is asked."""
        shares = self.shares({}).values()
        low, high = min(shares), max(shares)
        best: tuple[float, dict[str, float]] = (low, {})
        wider: dict[str, float] = {}
        for _ in range(_CAPS):
            if high - low <= _NEAR_CAP * high:
                break
            cap = (low + high) / 2
            # Always drawn in from openings that are too wide: so the first, widest answer is met.
            openings = self._draw_in(cap, wider)
            least = self._least_share(openings)
            even = least >= cap * (1 - _ALIKE)  # past the even division nobody is below the cap
            if even or (goal is not None and least >= goal):
                low = cap
            else:
                high, wider = cap, openings
            reached = least if goal is None else min(least, goal)
            if reached > best[0] or (reached == best[0] and low == cap):
                best = (reached, openings)
        return best[1]

    def _draw_in(self, cap: float, start: Openings) -> dict[str, float]:
        """Openings at which each gate's neediest port has the cap, or less with the gate wide open."""
        added = {gate: throttled(share) - open_gate() for gate, share in start.items()}
        most = throttled(LEAST_OPEN) - open_gate()
        for _ in range(_TRIALS):
            openings = {gate: opening_of(more) for gate, more in added.items() if more > 0}
            found = self._balance(openings)
            if found is None:
                break
            worst = 0.0
            for gate, ports in self._beyond.items():
                share = min(found.ports[port].flow / found.ports[port].needs for port in ports)
                more = min(most, max(0.0, self._coefficient(gate, added.get(gate, 0.0), share / cap, found)))
                if more != added.get(gate, 0.0):
                    worst = max(worst, abs(share / cap - 1))
                added[gate] = more
            if worst <= _NEAR_SHARE:
                break
        return {gate: opening_of(more) for gate, more in added.items() if more > 0}

    def _coefficient(self, gate: str, added: float, excess: float, found: Balance) -> float:
        """What the gate must add for its flow to fall by `excess`, were the suction at its run's collector end to stay."""
        index = self._duct_of[gate]
        duct, flow = self._tree.runs[index], found.flows[index]
        if flow <= 0 or excess <= 0:
            return 0.0
        density = self._tree.air.density
        suction = found.runs[duct.run].suction_near - velocity_pressure(flow, duct.near_bore, density)
        return added + suction / velocity_pressure(flow, duct.bore, density) * (excess * excess - 1.0)

    def _in_steps(self, openings: Openings, goal: float | None) -> dict[str, float]:
        """Openings as a gate can be set: the neediest gets as much as can be, or `goal`, then gates are as open as can be."""
        best: dict[str, float] = {}
        for step in STEPS:
            best = self._best_near({gate: _to_step(share, step) for gate, share in openings.items()}, step, goal)
            if goal is None or self._least_share(best) >= goal:
                break
        return {gate: share for gate, share in best.items() if share < 1.0}

    def _best_near(self, openings: dict[str, float], step: float, goal: float | None) -> dict[str, float]:
        best, worth = openings, self._worth(openings, goal)
        for _ in range(_SWEEPS):
            improved = False
            for gate in self._beyond:
                for way in (step, -step):
                    moved = best | {gate: _to_step(best.get(gate, 1.0) + way, step)}
                    if (found := self._worth(moved, goal)) > worth:
                        best, worth, improved = moved, found, True
            if not improved:
                break
        return best

    def _worth(self, openings: Openings, goal: float | None) -> tuple[int, float]:
        lowest = self._least_share(openings)
        reached = lowest if goal is None else min(lowest, goal)
        return floor(reached / _ALIKE_IN_PRACTICE), sum(openings.get(gate, 1.0) for gate in self._beyond)


def _to_step(share: float, step: float) -> float:
    return min(1.0, max(LEAST_OPEN, round(round(share / step) * step, 4)))


def opening_of(added: float) -> float:
    """The share at which a gate adds so much to the coefficient of an open one; LEAST_OPEN where it would be less."""
    wanted, low, high = open_gate() + added, LEAST_OPEN, 1.0
    if wanted >= throttled(low):
        return low
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if throttled(middle) > wanted else (low, middle)
    return high
