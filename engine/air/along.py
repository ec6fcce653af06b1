"""What a gauge would show anywhere in a solved network: static suction, flow and bore at a distance along a run, at a port, at the inlet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field, replace
from typing import TYPE_CHECKING

from engine.air.one.balance import outer_ends, part_loss, velocity_pressure
from engine.air.one.ducts import Duct, Part, area
from engine.air.one.live import losses_at
from engine.values import dataclass

if TYPE_CHECKING:  # with NumPy, slow to load
    from engine.air.many.losses import Array
    from engine.air.one.asks import Ask

# Places nearer to each other than this are one, m.
_SAME_PLACE = 1e-6


@dataclass(frozen=True, slots=True)
class Station:
    """A place in the air: static suction [Pa], flow [m3/s], bore [m]."""

    suction: float
    flow: float
    bore: float

    @property
    def speed(self) -> float:
        """Mean speed over the bore, m/s."""
        return self.flow / area(self.bore)


@dataclass(frozen=True, slots=True)
class Gauge:
    """What `ask` is answered by, with the flows [m3/s] that answer it, by position in its tree (see `engine.air.many.solving`)."""

    ask: Ask
    flows: Sequence[float] | Array
    hindrance: Mapping[int, float] = field(init=False)
    open_gates: frozenset[str] = field(init=False)

    def __post_init__(self) -> None:
        tree, ports, throttled, _ = self.ask
        object.__setattr__(self, "hindrance", outer_ends(tree, ports, throttled)[1])
        object.__setattr__(self, "open_gates", frozenset(gate for port in ports for gate in tree.gates_to[port]))

    @property
    def inlet(self) -> Station:
        """At the collector's inlet, in the bore of the run that joins it; where several do, in still air."""
        tree, flow = self.ask.tree, float(self.flows[-1])
        first = [kid for kid in tree.children[-1] if kid < len(tree.runs)]
        supplied = tree.fan.pressure(flow)[0]
        if len(first) != 1:
            return Station(supplied, flow, tree.runs[first[0]].near_bore if first else 1.0)
        return replace(self.along(tree.runs[first[0]].run, 0.0), flow=flow)  # with what leaks in along the first run

    def port(self, name: str) -> Station:
        """In the bore of a connected port; KeyError for another. Behind shut gates nothing flows, and there is no suction."""
        tree = self.ask.tree
        leaf = tree.leaf_of[name]
        flow, entry = float(self.flows[leaf]), tree.runs[leaf].parts[-1]
        moving = velocity_pressure(flow, entry.bore, tree.air.density)
        return Station((1.0 + entry.coefficient) * moving, flow, entry.bore)

    def along(self, run: str, distance: float) -> Station:
        """At a distance [m] along a run from its collector end, held within the run; KeyError for a run that is not there.

        What stands just there, it is measured before, on the collector's side; at the run's outer end, behind all but its port.
        """
        tree = self.ask.tree
        at = tree.index[run]
        total = self._total_before(at)
        duct, flow, gone = tree.runs[at], float(self.flows[at]), 0.0
        length, bore = length_of(duct), duct.near_bore
        for part in duct.parts:
            end = gone + part.length
            inside = part.place == "joint" or distance >= length - _SAME_PLACE or end < distance - _SAME_PLACE
            if part.place == "port" or (not inside and gone > distance - _SAME_PLACE):
                break
            share = 1.0 if inside or not part.length else min((distance - gone) / part.length, 1.0)
            total = self._after(part, at, total, flow, share)
            if part.length:
                bore = part.bore
            gone = end
            if not inside:
                break
        if distance >= length - _SAME_PLACE:
            bore = duct.far_bore
        return Station(total + velocity_pressure(flow, bore, tree.air.density), flow, bore)

    def unsure(self, run: str) -> bool:
        """Whether no open port draws through a run, and a joint before it has a coefficient of its own, which holds where air flows alone."""
        tree = self.ask.tree
        drawing = tree.on_way(tree.leaf_of[port] for port in self.ask.open_ports if self.flows[tree.leaf_of[port]] > 0.0)
        for at in tree.inward(tree.index[run]):
            if at in drawing:
                return False
            parent = tree.ducts[at].parent
            joint = tree.joints[parent]
            if joint is not None and joint.legs[tree.children[parent].index(at)].coefficient is not None:
                return True
        return False

    def _total_before(self, at: int) -> float:
        """Total suction [Pa] at the collector end of the duct at a position, its joint passed."""
        tree = self.ask.tree
        way = list(tree.inward(at))[::-1]
        total = tree.fan.pressure(float(self.flows[-1]))[0]
        for duct in way:
            total -= self._joint_loss(duct)
            if duct != at:
                for part in tree.runs[duct].parts:
                    total = self._after(part, duct, total, float(self.flows[duct]), 1.0)
        return total

    def _joint_loss(self, at: int) -> float:
        """What a run loses where it joins, Pa; a shut one what a first breath of air would lose."""
        tree = self.ask.tree
        parent = tree.ducts[at].parent
        kids = tree.children[parent]
        return losses_at(tree, parent, {kid: float(self.flows[kid]) for kid in kids})[kids.index(at)]

    def _after(self, part: Part, at: int, total: float, flow: float, share: float) -> float:
        """Total suction [Pa] behind a share of a part; behind a gate that is shut tight there is none."""
        tree = self.ask.tree
        if part.gate and flow <= 0.0 and part.gate not in self.open_gates:
            return 0.0
        total -= share * part_loss(part, tree, flow)
        gates = tree.runs[at].gates
        if part.gate and part.gate == gates[0]:
            total -= self.hindrance.get(at, 0.0) * flow * flow
        return total


def length_of(duct: Duct) -> float:
    """How long a duct is along its middle, m, elbows as far round as their bend."""
    return sum(part.length for part in duct.parts)
