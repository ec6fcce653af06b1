"""Balancing by gates left part open: which gate how far, so that every machine at work gets what it needs.

Throttled is from the top: no machine is left more than a certain multiple of
its need, the cap, and only gates of machines that have more are drawn in. A
lower cap leaves more suction for the others. The cap at which the neediest
machine just gets its need is the least throttling that does; the cap that the
neediest reaches too is the most even division, and no throttling gives the
neediest more as long as drawing in a gate takes air from nobody else.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import floor

from engine.air.balance import NONE_THROTTLED, Balance, NotConverged, solve, velocity_pressure
from engine.air.losses.gates import open_gate, throttled
from engine.air.network import Tree, gates_for, open_ports
from engine.checks import SEVERITIES, Finding
from engine.checks.assess import Assessment, assess
from engine.design import Design, GateSet, Throttle, gate_sets_of
from engine.search.proposals import Proposal, Step, standing
from engine.search.findings import difference
from engine.units.words import counted, listed, share_text

# A gate is set to a hundredth of its way, to a thousandth only where that is too coarse; never nearer to shut than a design may say.
STEPS, LEAST_OPEN = (0.01, 0.001), 0.05
# Relative: how near the cap and the gates are followed, and how many trials that may take.
_NEAR_CAP, _NEAR_SHARE = 1e-4, 1e-6
_TRIALS, _CAPS, _SWEEPS, _HALVINGS, _MOST_NAMED = 60, 40, 6, 40, 3
# Shares of a need nearer than this are alike; a gain of less is not worth throttling for (judgement).
_ALIKE, _ALIKE_IN_PRACTICE, _WORTH_IT = 1e-4, 0.001, 0.005


@dataclass(frozen=True, slots=True)
class Opening:
    """How far a gate stands open: a share of its way; `travel` the height of the opening in m, of a blade in a `bore` m wide."""

    gate: str
    open: float
    travel: float
    bore: float


@dataclass(frozen=True, slots=True)
class Throttling:
    """The answer for one gate set.

    `met` tells whether every port at work gets its need. `before` is each
    working port's share of its need with all gates wide open, `after` with the
    `openings`, which name the gates that are not. `cleared` and `added` are
    findings of the set, against all wide open. `said` is the answer in a
    sentence. `proposal` writes the openings into the gate set; None where they
    stand there already.
    """

    gate_set: str
    met: bool
    openings: tuple[Opening, ...]
    before: Mapping[str, float]
    after: Mapping[str, float]
    cleared: tuple[Finding, ...]
    added: tuple[Finding, ...]
    said: str
    proposal: Proposal | None


def throttlings(design: Design, assessment: Assessment | None = None, even: bool = False) -> Iterator[Step]:
    """The proposals for every gate set of several machines, one a step and all in the last; see `throttling`."""
    before = assessment or assess(design)
    several = [gate_set.name for gate_set in gate_sets_of(design) if len(gate_set.open) > 1]
    found: list[Proposal] = []
    for done, name in enumerate(several, 1):
        proposal = throttling(design, name, before, even=even).proposal
        found += [proposal] if proposal else []
        yield Step(done, len(several), name, _best_first(found))
    proposals = _best_first(found)
    yield Step(len(several), len(several), _summary(several, proposals), proposals)


def _best_first(found: Iterable[Proposal]) -> tuple[Proposal, ...]:
    return tuple(sorted(found, key=lambda one: (one.standing.faults, -(one.standing.share or 0.0))))


def _summary(several: Sequence[str], found: Sequence[Proposal]) -> str:
    if not several:
        return "no gate set has several machines at work"
    return f"{counted(len(several), 'gate set')} of several machines: throttling divides the air more evenly in {len(found) or 'none'} of them"


def throttling(design: Design, name: str, assessment: Assessment | None = None, *, even: bool = False) -> Throttling:
    """How to throttle the gates of a gate set of a consistent design so that each machine at work gets its need.

    `even` asks for the most even division instead, even where all needs are
    met. What the set throttles already is not regarded. Raises KeyError for a
    gate set the design has not got.
    """
    known = assessment or assess(design)
    gate_set = {one.name: one for one in gate_sets_of(design)}[name]
    wide = _with(design, gate_set, {})
    wide_open = assess(wide, known) if gate_set.throttle else known
    shop = _Shop(wide_open.tree, gate_set)
    start = shop.shares({})
    if not start:
        return Throttling(name, False, (), {}, {}, (), (), _no_answer(wide_open, name), None)
    goal = None if even else 1.0
    found = {} if not even and min(start.values()) >= 1.0 else shop.rounded(shop.capped(goal), goal)
    reached = shop.shares(found)
    was, will = min(start.values()), min(reached.values())
    if will - was < _WORTH_IT and not was < 1.0 <= will:
        found, reached = {}, start
    after = assess(_with(design, gate_set, found), wide_open)
    said = _said(shop, start, reached, found)
    own = [[one for one in of.findings if one.gate_set == name] for of in (wide_open, after)]
    added = difference(own[1], own[0])
    openings = tuple(shop.opening(gate, share) for gate, share in found.items())
    met = min(reached.values()) >= 1.0
    proposal = _proposal(name, said, added, after, openings) if after.design != design and (found or met) else None
    return Throttling(name, met, openings, start, reached, difference(own[0], own[1]), added, said, proposal)


def all_throttled(design: Design, found: Iterable[Throttling]) -> Design:
    """The design with what is proposed for several of its gate sets, each in its own."""
    for one in found:
        if one.proposal:
            [new] = [gate_set for gate_set in one.proposal.design.gate_sets if gate_set.name == one.gate_set]
            sets = (new if gate_set.name == new.name else gate_set for gate_set in gate_sets_of(design))
            design = replace(design, gate_sets=tuple(sets))
    return design


def _with(design: Design, gate_set: GateSet, found: Mapping[str, float]) -> Design:
    """The design with that gate set throttled so."""
    throttle = tuple(Throttle(gate=gate, open=share) for gate, share in found.items())
    changed = replace(gate_set, throttle=throttle)
    sets = tuple(changed if one.name == gate_set.name else one for one in gate_sets_of(design))
    return design if sets == gate_sets_of(design) else replace(design, gate_sets=sets)


class _Shop:
    """One gate set's network, with what can be throttled in it. Gates are throttled by what they add to a coefficient."""

    def __init__(self, tree: Tree, gate_set: GateSet) -> None:
        self.tree = tree
        self.open = open_ports(tree, gates_for(tree, gate_set.open))
        at_work = set(gate_set.open)
        self.working = [port for port in self.open if port.split("/")[0] in at_work and tree.ports[port].needs.si > 0]
        # Each gate that is the outermost on some working port's way, with every working port beyond it.
        own = dict.fromkeys(tree.gates_to[port][-1] for port in self.working if tree.gates_to[port])
        self.beyond = {gate: [port for port in self.working if gate in tree.gates_to[port]] for gate in own}
        self.duct_of = {gate: i for i, duct in enumerate(tree.runs) for gate in duct.gates}
        self._near: Balance | None = None

    def balance(self, shares: Mapping[str, float]) -> Balance | None:
        """The network with gates open by these shares; None without an answer."""
        try:
            found = solve(self.tree, self.open, throttled=shares or NONE_THROTTLED, near=self._near)
        except NotConverged:
            return None
        self._near = found
        return found

    def shares(self, openings: Mapping[str, float]) -> dict[str, float]:
        """What each working port gets of its need; empty without an answer."""
        found = self.balance(openings)
        return {port: found.ports[port].flow / found.ports[port].needs for port in self.working} if found else {}

    def lowest(self, openings: Mapping[str, float]) -> float:
        """What the neediest gets."""
        return min(self.shares(openings).values(), default=0.0)

    def opening(self, gate: str, share: float) -> Opening:
        bore = self.tree.runs[self.duct_of[gate]].bore
        return Opening(gate, share, share * bore, bore)

    def capped(self, goal: float | None) -> dict[str, float]:
        """Openings at the highest cap at which the neediest gets `goal`, or at the most even one where none does or None is asked."""
        shares = self.shares({}).values()
        low, high = min(shares), max(shares)
        best, wider = (low, {}), {}
        for _ in range(_CAPS):
            if high - low <= _NEAR_CAP * high:
                break
            cap = (low + high) / 2
            # Always drawn in from openings that are too wide: so the first, widest answer is met.
            openings = self.drawn_in(cap, wider)
            least = self.lowest(openings)
            even = least >= cap * (1 - _ALIKE)  # past the even division nobody is below the cap
            if even or (goal is not None and least >= goal):
                low = cap
            else:
                high, wider = cap, openings
            reached = least if goal is None else min(least, goal)
            if reached > best[0] or (reached == best[0] and low == cap):
                best = (reached, openings)
        return best[1]

    def drawn_in(self, cap: float, start: Mapping[str, float]) -> dict[str, float]:
        """Openings at which each gate's neediest port has the cap, or less with the gate wide open."""
        added = {gate: throttled(share) - open_gate() for gate, share in start.items()}
        most = throttled(LEAST_OPEN) - open_gate()
        for _ in range(_TRIALS):
            openings = {gate: opening_of(more) for gate, more in added.items() if more > 0}
            found = self.balance(openings)
            if found is None:
                break
            worst = 0.0
            for gate, ports in self.beyond.items():
                share = min(found.ports[port].flow / found.ports[port].needs for port in ports)
                more = min(most, max(0.0, self._drawn_to(gate, added.get(gate, 0.0), share / cap, found)))
                if more != added.get(gate, 0.0):
                    worst = max(worst, abs(share / cap - 1))
                added[gate] = more
            if worst <= _NEAR_SHARE:
                break
        return {gate: opening_of(more) for gate, more in added.items() if more > 0}

    def _drawn_to(self, gate: str, added: float, excess: float, found: Balance) -> float:
        """What the gate must add for its flow to fall by `excess`, were the suction at its run's collector end to stay."""
        index = self.duct_of[gate]
        duct, flow = self.tree.runs[index], found.flows[index]
        if flow <= 0 or excess <= 0:
            return 0.0
        density = self.tree.air.density
        suction = found.runs[duct.run].suction_near - velocity_pressure(flow, duct.near_bore, density)
        return added + suction / velocity_pressure(flow, duct.bore, density) * (excess * excess - 1.0)

    def rounded(self, openings: Mapping[str, float], goal: float | None) -> dict[str, float]:
        """Openings as a gate can be set: the neediest gets as much as can be, or `goal`, then gates are as open as can be."""
        best: dict[str, float] = {}
        for step in STEPS:
            best = self._stepped({gate: _in_steps(share, step) for gate, share in openings.items()}, step, goal)
            if goal is None or self.lowest(best) >= goal:
                break
        return {gate: share for gate, share in best.items() if share < 1.0}

    def _stepped(self, openings: dict[str, float], step: float, goal: float | None) -> dict[str, float]:
        best, worth = openings, self._worth(openings, goal)
        for _ in range(_SWEEPS):
            improved = False
            for gate in self.beyond:
                for way in (step, -step):
                    tried = best | {gate: _in_steps(best.get(gate, 1.0) + way, step)}
                    if (found := self._worth(tried, goal)) > worth:
                        best, worth, improved = tried, found, True
            if not improved:
                break
        return best

    def _worth(self, openings: Mapping[str, float], goal: float | None) -> tuple[int, float]:
        lowest = self.lowest(openings)
        reached = lowest if goal is None else min(lowest, goal)
        return floor(reached / _ALIKE_IN_PRACTICE), sum(openings.get(gate, 1.0) for gate in self.beyond)

    def alone(self, port: str) -> float | None:
        """The share of its need that a port gets with only its own machine's gates open."""
        lone = GateSet(name=port, open=(port.split("/")[0],))
        return _Shop(self.tree, lone).shares({}).get(port)


def _in_steps(share: float, step: float) -> float:
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


def _said(shop: _Shop, start: Mapping[str, float], reached: Mapping[str, float], found: Mapping[str, float]) -> str:
    """The answer in a sentence."""
    port, share = min(reached.items(), key=lambda item: item[1])
    was = min(start.values())
    if not found and share >= 1.0:
        return f"nothing to throttle: the neediest, {port}, gets {share_text(share)} of its need"
    if share >= 1.0:
        return f"{_gates(found)}: every machine gets its need, the neediest, {port}, {share_text(share)} of it ({share_text(was)} with all wide open)"
    alone = shop.alone(port)
    why = f"alone it gets {share_text(alone)}" if alone is not None else "alone it has no answer"
    if not found:
        return f"no: throttling gives {port} no more than {share_text(share)} of its need; {why}"
    return f"no: even with every other gate throttled, {port} gets {share_text(share)} of its need ({share_text(was)} with all wide open); {why}"


def _gates(found: Mapping[str, float]) -> str:
    return ", ".join(f"{gate} {100 * share:g} % open" for gate, share in found.items())


def _no_answer(assessment: Assessment, name: str) -> str:
    result = next(result for result in assessment.sets if result.gate_set.name == name)
    return f"no: {result.trouble or 'no machine at work has a duct and a need'}"


def _proposal(name: str, said: str, added: tuple[Finding, ...], after: Assessment, openings: tuple[Opening, ...]) -> Proposal:
    counts = [counted(number, severity) for severity in SEVERITIES if (number := sum(one.severity == severity for one in added))]
    where = listed([f"{one.code} at {one.where}" for one in added], _MOST_NAMED)
    told = f"; adds {', '.join(counts)}: {where}" if counts else ""
    return Proposal(f"{name}: {'gates throttled' if openings else 'gates wide open'}", said + told, after.design, standing(after))
