"""A Design compiled into the tree of ducts that the solver works on.

Every open port draws room air at total pressure 0; each loss on the way to the
collector adds suction. A duct is one run; a joint is what happens where ducts
meet at the outer end of their parent.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi
from typing import Protocol

from engine.air.ducts import AS_PUBLISHED, Duct, DuctMaker, Lean, area, duct_loss, leak_of
from engine.air.fan import Fan, fan_of
from engine.air.losses.junctions import Joint, Leg
from engine.air.losses.leaks import gap_resistance
from engine.air.properties import Air, air_of
from engine.design import Collector, Design, Leakage, Port, Run, children_of, joins_as, ports_of, stock_sizes

BRANCH_ANGLE = pi / 4
OUTLET_MATERIAL = "galvanised spiral"


class Supply(Protocol):
    """What the solver asks of a collector: pressure [Pa] and slope at a flow [m3/s]; the ends of what is known."""

    low: float
    high: float
    shut_off: float
    falls: bool

    def pressure(self, flow: float) -> tuple[float, float]:
        """Total pressure supplied at the inlet, and its slope."""


@dataclass(frozen=True, slots=True)
class Discharging:
    """A fan that blows through a duct to the outside: what that duct takes is missing at the inlet."""

    fan: Fan
    outlet: Duct

    @property
    def low(self) -> float:
        """Flow at the first point of the curve, m3/s."""
        return self.fan.low

    @property
    def high(self) -> float:
        """Flow at the last point of the curve, m3/s."""
        return self.fan.high

    @property
    def shut_off(self) -> float:
        """Pressure at no flow, Pa."""
        return self.fan.shut_off

    @property
    def estimated(self) -> bool:
        """Whether the curve is a guess."""
        return self.fan.estimated

    @property
    def falls(self) -> bool:
        """Whether the curve falls all along."""
        return self.fan.falls

    def pressure(self, flow: float) -> tuple[float, float]:
        """Total pressure [Pa] left at the inlet at a flow [m3/s], and its slope."""
        (supplied, slope), (lost, lost_slope) = self.fan.pressure(flow), duct_loss(self.outlet, flow)
        return supplied - lost, slope - lost_slope


@dataclass(frozen=True, slots=True)
class Tree:
    """The compiled network; ducts stand after their parents.

    `children` and `joints` are by duct index; `leaf_of` is the duct of each
    connected port, `gates_to` the gates on its way to the collector. `leaks`
    are ducts that stand for gaps in the walls, always open; `shut_gate` is the
    resistance, loss over flow squared, of the gap that a shut gate leaves.
    `made_from` is what each run's duct was compiled from.
    """

    air: Air
    fan: Fan | Discharging
    ducts: tuple[Duct, ...]
    index: dict[str, int]
    children: tuple[tuple[int, ...], ...]
    joints: tuple[Joint | None, ...]
    ports: dict[str, Port]
    leaf_of: dict[str, int]
    gates_to: dict[str, tuple[str, ...]]
    leaks: tuple[int, ...]
    shut_gate: float | None
    made_from: tuple[tuple, ...]

    @property
    def runs(self) -> tuple[Duct, ...]:
        """The ducts that are runs, leaks left out."""
        return self.ducts[: len(self.index)]


def compile_tree(design: Design, air: Air | None = None, lean: Lean = AS_PUBLISHED, before: Tree | None = None) -> Tree:
    """Compile a consistent design. `air` replaces the air of its site.

    What has not changed since the tree `before` is taken over from it.
    """
    air = air or air_of(design.site)
    children, sizes, ports = children_of(design), stock_sizes(design), ports_of(design)
    maker = DuctMaker(sizes, {name: port for name, (_, port) in ports.items()}, air, lean)
    known = {duct.run: (made, duct) for made, duct in zip(before.made_from, before.ducts)} if before else {}
    made: list[tuple] = []
    ducts: list[Duct] = []
    waiting = [(run, -1, design.collector.inlet.si) for run in reversed(children["collector"])]
    while waiting:
        run, parent, parent_bore = waiting.pop()
        made.append(maker.needs(run, parent, parent_bore))
        known_from, duct = known.get(run.id, (None, None))
        ducts.append(duct if known_from == made[-1] else maker.duct(run, parent, parent_bore))
        here, bore = len(ducts) - 1, ducts[-1].bore
        waiting.extend((child, here, bore) for child in reversed(children[run.id]))
    leaves = {duct.port: i for i, duct in enumerate(ducts) if duct.port is not None}
    index = {duct.run: i for i, duct in enumerate(ducts)}
    kids = [tuple(index[child.id] for child in children[duct.run]) for duct in ducts]
    joints = [joint_of(children[duct.run], duct, ducts, index, air) for duct in ducts]
    gates_to = _gates_to(ducts)
    leaks = _leaks(design.leakage, ducts)
    for leak in leaks:
        kids[leak.parent] += (len(ducts),)
        ducts.append(leak)
    gap = design.leakage.shut_gate
    return Tree(
        air, _supply(design.collector, air, maker), tuple(ducts), index, tuple(kids) + ((),) * len(leaks),
        tuple(joints) + (None,) * len(leaks), maker.ports, leaves, gates_to,
        tuple(range(len(ducts) - len(leaks), len(ducts))), gap_resistance(gap.si, air.density) if gap and gap.si else None,
        tuple(made),
    )  # fmt: skip


def _leaks(leakage: Leakage, ducts: list[Duct]) -> list[Duct]:
    """A gap for the walls of each run, where it joins its parent; for the first run, at its outer end.

    A first run that ends at a port has its gap left out: nothing joins it
    that a gap could stand beside.
    """
    if leakage.tightness is None:
        return []
    found = []
    for i, duct in enumerate(ducts):
        at = duct.parent if duct.parent >= 0 else i
        if duct.parent >= 0 or duct.port is None:
            found.append(replace(leak_of(duct, leakage.tightness), parent=at))
    return found


def _supply(collector: Collector, air: Air, maker: DuctMaker) -> Fan | Discharging:
    fan = fan_of(collector, air.density)
    if collector.discharge != "outside" or not collector.outlet_pieces:
        return fan
    outlet = Run(
        id="outlet", joins="collector", bore=collector.outlet, pieces=collector.outlet_pieces,
        material=collector.outlet_material or OUTLET_MATERIAL,
    )  # fmt: skip
    return Discharging(fan, maker.duct(outlet, -1, collector.outlet.si))


def open_ports(tree: Tree, open_gates: frozenset[str]) -> tuple[str, ...]:
    """The ports whose every gate on the way to the collector is open; no gate on the way is always open."""
    return tuple(port for port, way in tree.gates_to.items() if open_gates.issuperset(way))


def gates_for(tree: Tree, machines: tuple[str, ...]) -> frozenset[str]:
    """The gates that stand open when `machines` work: all those on their ways."""
    at_work = set(machines)
    return frozenset(gate for port, way in tree.gates_to.items() if port.split("/")[0] in at_work for gate in way)


def joint_of(runs: tuple[Run, ...], parent: Duct, ducts: list[Duct], index: dict[str, int], air: Air) -> Joint | None:
    if not runs or (len(runs) == 1 and joins_as(runs[0]) == "straight" and runs[0].loss is None):
        return None
    legs = []
    for run in runs:
        bore = ducts[index[run.id]].bore
        whole = joins_as(run) == "straight" or run.taper is not None
        angle = 0.0 if joins_as(run) == "straight" else run.angle.si if run.angle else BRANCH_ANGLE
        legs.append(Leg(joins_as(run), area(parent.bore if whole else bore), angle, run.loss))
    return Joint(air.density, area(parent.bore), tuple(legs))


def _gates_to(ducts: list[Duct]) -> dict[str, tuple[str, ...]]:
    ways: list[tuple[str, ...]] = []
    for duct in ducts:
        ways.append((ways[duct.parent] if duct.parent >= 0 else ()) + duct.gates)
    return {duct.port: way for duct, way in zip(ducts, ways) if duct.port is not None}
