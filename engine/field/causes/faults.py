"""What goes wrong, as changes of a solved network: each a function of a condition and a severity, so that two of them follow each other.

A design has no word for most of them, and a network is changed much quicker
than a design is compiled anew.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field, replace
from math import sqrt

from engine.air.fan import Fan, filter_loss, loss_now
from engine.air.interpolation import MonotoneCubic
from engine.air.losses.gates import open_gate, throttled
from engine.air.losses.leaks import LEAK_EXPONENT, gap_resistance
from engine.air.one.asks import Ask
from engine.air.one.ducts import Duct, Leak, Part, area
from engine.air.one.network import Discharging, Supply, Tree, gates_behind, gates_for
from engine.design import AS_DESIGNED, Collector, CollectorLoss, GateSet, Tuned, defaults
from engine.field.spots import ALL_SHUT
from engine.units import Quantity
from engine.values import dataclass

# A hole passes by the law of leaks what it would pass as a sharp opening under so much suction, Pa: about what stands over it.
_OVER_A_HOLE = 1000.0
_TIGHT = 1e-9  # m3/s under 1 Pa, of a place for a hole where none is
# Without a word of the design on its filter: it takes a tenth of the highest pressure at half of the largest flow (judgement).
_FILTER_SHARE, _FILTER_FLOW = 0.1, 0.5


@dataclass(frozen=True, slots=True)
class Condition:
    """The ducts and the collector as they may be, tuned to readings or not.

    `gates` are those that stand otherwise than a gate set says, each at least and at most so open.
    """

    tree: Tree
    collector: Collector
    tuned: Tuned = AS_DESIGNED
    gates: Mapping[str, tuple[float, float]] = field(default_factory=dict)

    def ask(self, gate_set: GateSet) -> Ask:
        """What is to be solved in a gate set."""
        tree, opened, shares = self.tree, set(gates_for(self.tree, gate_set.open)), {each.gate: each.open for each in gate_set.throttle}
        for gate, (least, most) in self.gates.items():
            share = min(max(shares.get(gate, 1.0) if gate in opened else 0.0, least), most)
            (opened.add if share > 0.0 else opened.discard)(gate)
            shares[gate] = share
        capped = gate_set is ALL_SHUT  # what has no gate too
        ports = tuple(port for port, way in tree.gates_to.items() if opened.issuperset(way) and (way or not capped))
        return Ask(tree, ports, {gate: share for gate, share in shares.items() if 0.0 < share < 1.0})


def clogged(condition: Condition, run: str, outward: bool, shut: float) -> Condition:
    """A run of whose bore a share is shut, above 0 and below 1: at its outer end, before the port, or at its collector end.

    It costs as much as a slide gate so far shut.
    """
    tree = condition.tree
    duct = tree.runs[tree.index[run]]
    bore = duct.far_bore if outward else duct.near_bore
    clog = Part(-1, "clog", bore, coefficient=coefficient_of(shut))
    at = len(duct.parts) - (duct.port is not None) if outward else sum(part.place == "joint" for part in duct.parts)
    square = duct.square + clog.coefficient * _per_flow(tree, bore)
    return _with_duct(condition, replace(duct, parts=(*duct.parts[:at], clog, *duct.parts[at:]), square=square))


def choked(condition: Condition, port: str, shut: float) -> Condition:
    """A port of whose bore a share is shut, above 0 and below 1, where the air comes in."""
    tree = condition.tree
    duct = tree.runs[tree.leaf_of[port]]
    entry, more = duct.parts[-1], coefficient_of(shut)
    added = more * _per_flow(tree, entry.bore)
    parts = (*duct.parts[:-1], entry._replace(coefficient=entry.coefficient + more))
    return _with_duct(condition, replace(duct, parts=parts, square=duct.square + added, port_square=duct.port_square + added))


def left_open(condition: Condition, gate: str, share: float) -> Condition:
    """A gate that is open by a share at least, in every gate set."""
    return replace(condition, gates={**condition.gates, gate: (share, 1.0)})


def left_shut(condition: Condition, gate: str, shut: float) -> Condition:
    """A gate that is shut by a share at least, in every gate set."""
    return replace(condition, gates={**condition.gates, gate: (0.0, 1.0 - shut)})


def holed(condition: Condition, run: str | None, share: float) -> Condition:
    """A hole of so many sections of a run where it joins, or of so many sections of the inlet in the bin; the network has places for holes."""
    tree = condition.tree
    at = len(tree.leaks) - 1 if run is None else len(tree.leaks) - 1 - len(tree.runs) + tree.index[run]
    leak = tree.leaks[at]
    passed = share * area(tree.runs[leak.wall].near_bore)
    conductance = _conductance(passed, tree) + leak.conductance
    return replace(condition, tree=replace(tree, leaks=(*tree.leaks[:at], replace(leak, conductance=conductance), *tree.leaks[at + 1 :])))


def filter_at(condition: Condition, times: float) -> Condition:
    """A filter that takes so many times the drop of its present state, by the law of the design; the collector tells of one."""
    collector = condition.collector
    loss = filter_loss(collector)
    if loss is None:
        raise ValueError("the collector has no filter; see with_filter_told")
    now = loss_now(collector, loss, condition.tuned)
    clean, dirty = (each and replace(each, si=times * each.si) for each in (loss.clean, loss.dirty))
    other = replace(loss, drop=replace(loss.drop, si=times * loss.drop.si), clean=clean, dirty=dirty)
    losses = tuple(other if each is loss else each for each in collector.losses)
    condition = replace(condition, collector=replace(collector, losses=losses))
    more = (times - 1.0) * now / loss.at.si
    if loss.law == "linear":
        return _with_fan(condition, lambda one: replace(one, linear=one.linear + more))
    more *= condition.tree.air.density / (collector.density or defaults.CURVE_DENSITY).si / loss.at.si
    return _with_fan(condition, lambda one: replace(one, square=one.square + more))


def slowed(condition: Condition, speed: float) -> Condition:
    """A fan at a share of its speed, by the fan laws: flow as speed, pressure as its square."""
    return _with_fan(condition, lambda one: _at_speed(one, speed))


def with_filter_told(collector: Collector, fan: Supply) -> Collector:
    """A collector that says what its filter takes: as designed; else a guess, which its curve holds already."""
    if filter_loss(collector):
        return collector
    drop, at = Quantity(_FILTER_SHARE * fan.shut_off, ""), Quantity(_FILTER_FLOW * fan.high, "")
    return replace(collector, losses=(*collector.losses, CollectorLoss(name="filter", drop=drop, at=at, law="linear")))


def with_places_for_holes(tree: Tree) -> Tree:
    """A network with a place for a hole where each run joins, by position, and one in the bin, the last."""
    ways = [*gates_behind(tree.runs), ()]
    leaks = [_place(tree, duct, at, ways[duct.parent]) for at, duct in enumerate(tree.runs)]
    first = next(kid for kid in tree.children[-1] if kid < len(tree.runs))
    leaks.append(Leak(run=tree.runs[first].run, wall=first, parent=-1, dynamic=0.0, conductance=_TIGHT))
    children = list(map(list, tree.children[:-1])) + [[] for _ in leaks] + [list(tree.children[-1])]
    for position, leak in enumerate(leaks, len(tree.ducts)):
        children[leak.parent].append(position)
    joints = (*tree.joints[:-1], *[None] * len(leaks), tree.joints[-1])
    return replace(tree, leaks=(*tree.leaks, *leaks), children=tuple(map(tuple, children)), joints=joints)


def _place(tree: Tree, duct: Duct, at: int, behind: tuple[str, ...]) -> Leak:
    dynamic = _per_flow(tree, duct.near_bore) - duct.joint_square
    return Leak(run=duct.run, wall=at, parent=duct.parent, dynamic=dynamic, conductance=_TIGHT, behind=behind)


def _conductance(hole: float, tree: Tree) -> float:
    flow: float = sqrt(_OVER_A_HOLE / gap_resistance(hole, tree.air.density))
    conductance: float = flow / _OVER_A_HOLE**LEAK_EXPONENT
    return conductance


def coefficient_of(shut: float) -> float:
    """Coefficient of what shuts a share of a bore: handbook table of a slide gate, from memory (see `engine.air.losses.gates`)."""
    return throttled(1.0 - shut) - open_gate()


def _per_flow(tree: Tree, bore: float) -> float:
    return tree.air.density / (2.0 * area(bore) ** 2)


def _with_duct(condition: Condition, duct: Duct) -> Condition:
    tree = condition.tree
    at = tree.index[duct.run]
    return replace(condition, tree=replace(tree, runs=(*tree.runs[:at], duct, *tree.runs[at + 1 :])))


def _with_fan(condition: Condition, change: Callable[[Fan], Fan]) -> Condition:
    supply = condition.tree.fan
    if isinstance(supply, Discharging):
        supply = replace(supply, fan=change(supply.fan))
    elif isinstance(supply, Fan):
        supply = change(supply)
    else:
        raise TypeError(f"no such supply: {supply!r}")
    return replace(condition, tree=replace(condition.tree, fan=supply))


def _at_speed(fan: Fan, n: float) -> Fan:
    curve = MonotoneCubic(tuple(n * x for x in fan.curve.xs), tuple((n * n * a, n * b, c, d / n) for a, b, c, d in fan.curve.pieces))
    return replace(fan, curve=curve, beyond=n * fan.beyond)
