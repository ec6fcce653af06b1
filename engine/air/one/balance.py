"""Solve the network for a set of open ports, and say what air does in every run.

The flows come from `engine.air.one.newton`; here they become suctions, speeds and
losses that a person can measure, down to each part on the way of the air.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field, replace
from functools import cached_property
from types import MappingProxyType
from typing import NamedTuple

from engine.air.losses.elbows import mitred_reynolds_factor
from engine.air.losses.friction import colebrook
from engine.air.losses.gates import open_gate
from engine.air.losses.gates import throttled as throttled_gate
from engine.air.one.ducts import Duct, FrictionLaw, Part, area, reynolds_per_flow
from engine.air.one.live import Live, live_again, places_of
from engine.air.one.network import Tree
from engine.air.one.newton import NotConverged, Settled, settle, settle_again
from engine.values import dataclass

NONE_THROTTLED: Mapping[str, float] = MappingProxyType({})


class RunState(NamedTuple):
    """One run in a solved network: flow m3/s, velocity m/s in its own bore or that of the hose it is made of, Pa.

    `carries` tells that it leads to an open port that draws: elsewhere only
    leaks can flow.
    `loss` is of total pressure from the outer end to the collector end, the
    joint at its collector end included. The suctions are static.
    """

    flow: float
    velocity: float
    loss: float
    suction_near: float
    suction_far: float
    carries: bool


@dataclass(frozen=True, slots=True)
class PortState:
    """One open port: flow and what it needs, m3/s; static suction in its bore, Pa."""

    flow: float
    needs: float
    suction: float


@dataclass(frozen=True)
class Balance:
    """A solved network: the whole `flow` [m3/s], the total pressure the collector supplies [Pa], open ports by name.

    `flows` [m3/s] are by position in the tree, the collector's last, and so is
    `hindrance` [Pa s2/m6], what throttled gates add to the resistance of
    their runs. `imbalance` is the worst path's pressure error, Pa.
    `blown_back` are open ports out of which air would blow; they are held at
    no flow. `rising` tells that the collector works where its curve rises.
    What flows cost, duct by duct, is worked out when it is asked for; `live`
    and `settled` are the equations they were found by, and how.
    """

    flow: float
    collector_pressure: float
    ports: dict[str, PortState]
    flows: tuple[float, ...]
    hindrance: Mapping[int, float]
    blown_back: tuple[str, ...]
    rising: bool
    imbalance: float
    tree: Tree = field(repr=False, compare=False)
    friction: FrictionLaw = field(repr=False, compare=False)
    live: Live = field(repr=False, compare=False)
    settled: Settled = field(repr=False, compare=False)

    @cached_property
    def carried(self) -> dict[str, float]:
        """Flow of every run that leads to an open port that draws, m3/s: elsewhere only leaks can flow."""
        tree = self.tree
        drawing = tree.on_way(tree.leaf_of[port] for port in self.ports if port not in self.blown_back)
        return {tree.runs[i].run: self.flows[i] for i in sorted(drawing) if self.flows[i] > 0}

    @cached_property
    def joint_losses(self) -> tuple[float, ...]:
        """Pa, of every duct at its inner end, by position; a shut one has the loss that a first breath of air would meet."""
        flows, losses = self.flows, [0.0] * len(self.flows)
        for kids, here in zip(self.tree.children, places_of(self.tree), strict=True):
            if (here.joint or here.leaks) and any(flows[kid] for kid in kids):
                for kid, loss in zip(kids, here.losses([flows[kid] for kid in kids[: here.legs]])[0], strict=True):
                    losses[kid] = loss
        return tuple(losses)

    @cached_property
    def runs(self) -> dict[str, RunState]:
        """The state of every run, by name."""
        tree, carried, found = self.tree, self.carried, dict[str, RunState]()
        open_gates = {gate for port in self.ports for gate in tree.gates_to[port]}
        outer = [0.0] * len(tree.runs) + [self.collector_pressure]
        for i, (duct, flow, joint) in enumerate(zip(tree.runs, self.flows, self.joint_losses, strict=False)):
            inner = outer[duct.parent] - joint
            if flow > 0:
                square, half = flow * flow, tree.air.density / 2
                loss = duct.loss(flow, self.friction)[0] + self.hindrance.get(i, 0.0) * square
                near = inner - duct.joint_square * square
                far = outer[i] = inner - loss + duct.port_square * square
                suctions = near + half * (flow / area(duct.near_bore)) ** 2, far + half * (flow / area(duct.far_bore)) ** 2
                found[duct.run] = RunState(flow, flow / area(duct.speed_bore), joint + inner - far, *suctions, duct.run in carried)
            else:
                far = outer[i] = inner if not duct.gates or open_gates.issuperset(duct.gates) else 0.0
                found[duct.run] = RunState(0.0, 0.0, 0.0, inner, far, False)
        return found


def solve(
    tree: Tree, open_ports: Iterable[str],
    *, throttled: Mapping[str, float] = NONE_THROTTLED, friction: FrictionLaw = colebrook, near: Balance | None = None,
) -> Balance:  # fmt: skip
    """Balance the network with these ports open, "machine/port", every other shut; leaks of the design draw too.

    `throttled` gates, by name, are open by a share only, more than 0, at most 1.
    `friction(Re, e/D) -> (f, dln f/dln Re)` replaces the law. `near` is the balance of a network
    alike to start from; it is left aside where a curve that rises could let
    the answer hang on it.

    Mass holds to rounding, pressure to 0.01 Pa on every path; otherwise
    raises NotConverged. Raises KeyError for a port that is not connected.
    """
    wanted = list(dict.fromkeys(open_ports))
    ends, hindrance = outer_ends(tree, wanted, throttled)
    alike = near is not None and not near.blown_back and tree.fan.falls and _same_shape(tree, near.tree)
    return _balance(tree, wanted, hindrance, friction, *settle(tree, ends, hindrance, friction, near.flows if near and alike else ()))


def solve_again(balance: Balance, tree: Tree, changed: Iterable[int]) -> Balance | None:
    """The same ports open in a tree of which only what the ducts at the positions `changed` cost is otherwise, none of them throttled.

    None where the answer could hang on where the steps start, where ends other than ports may draw, or where the steps lead to none.
    """
    if not balance.flow or balance.blown_back or not tree.fan.falls or tree.leaks or tree.shut_gate:
        return None
    live = live_again(tree, balance.live, changed, balance.hindrance)
    settled = settle_again(tree, live, balance.live, balance.settled, balance.friction)
    return _balance(tree, balance.ports, balance.hindrance, balance.friction, live, settled) if settled else None


def _same_shape(tree: Tree, other: Tree) -> bool:
    return (tree.index is other.index or tree.index == other.index) and len(tree.ducts) == len(other.ducts)


def _balance(tree: Tree, ports: Iterable[str], hindrance: Mapping[int, float], friction: FrictionLaw, live: Live, settled: Settled) -> Balance:
    """The balance that a live part has settled at."""
    flows, leaf_of = [0.0] * (len(tree.ducts) + 1), tree.leaf_of
    for way, flow in zip(live.ways, settled.q, strict=True):
        for duct in way:
            flows[duct] = flow
    flows[-1] = settled.q[0] if settled.q else 0.0
    pressure, slope = tree.fan.pressure(flows[-1])
    states = {port: _port_state(tree, port, flows[leaf_of[port]]) for port in ports}
    return Balance(
        flow=flows[-1], collector_pressure=pressure, ports=states, flows=tuple(flows), hindrance=hindrance,
        blown_back=tuple([port for port, state in states.items() if not state.flow]), rising=flows[-1] > 0 and slope > 0, imbalance=settled.worst,
        tree=tree, friction=friction, live=live, settled=settled,
    )  # fmt: skip


def outer_ends(tree: Tree, open_ports: Sequence[str], throttled: Mapping[str, float]) -> tuple[list[int], dict[int, float]]:
    """Positions of all outer ends that draw with these ports open, and what gates add to the resistance of ducts, Pa s2/m6, by position.

    Ports behind shut gates that leave a gap draw too, and leaks with no shut gate before them. Raises KeyError for a port that is not connected.
    """
    open_gates = {gate for port in open_ports for gate in tree.gates_to[port]}
    leaves = [tree.leaf_of[port] for port in open_ports]
    behind_shut_gates = [leaf for port, leaf in tree.leaf_of.items() if port not in open_ports] if tree.shut_gate else []
    leaks = [position for position, leak in zip(tree.leak_positions, tree.leaks, strict=True) if open_gates.issuperset(leak.behind)]
    return [*leaves, *behind_shut_gates, *leaks], _hindrance(tree, open_gates, throttled)


def _hindrance(tree: Tree, open_gates: set[str], throttled: Mapping[str, float]) -> dict[int, float]:
    """What throttled gates, and shut ones that leave a gap, add to the resistance of their ducts."""
    added: dict[int, float] = {}
    if not throttled and not tree.shut_gate:
        return added
    for i, duct in enumerate(tree.runs):
        for gate in duct.gates:
            more = 0.0
            if gate not in open_gates:
                more = tree.shut_gate or 0.0
            elif gate in throttled:
                more = (throttled_gate(throttled[gate]) - open_gate()) * tree.air.density / (2 * area(duct.bore) ** 2)
            if more:
                added[i] = added.get(i, 0.0) + more
    return added


def velocity_pressure(q: float, bore: float, density: float) -> float:
    """Velocity pressure [Pa] of a flow [m3/s] in a bore [m], in air of a density [kg/m3]."""
    return density / 2 * (q / area(bore)) ** 2


def part_loss(part: Part, tree: Tree, q: float, friction: FrictionLaw = colebrook) -> float:
    """Total-pressure loss [Pa] of one part of a network at a flow [m3/s]; none below 0."""
    if q <= 0:
        return 0.0
    reynolds = q * reynolds_per_flow(part.bore, tree.air)
    coefficient = part.coefficient * (mitred_reynolds_factor(reynolds)[0] if part.mitred else 1.0)
    if part.length:
        coefficient += friction(reynolds, part.roughness / part.bore)[0] * part.folds * part.length / part.bore
    return coefficient * velocity_pressure(q, part.bore, tree.air.density)


def _port_state(tree: Tree, name: str, q: float) -> PortState:
    port, leaf = tree.ports[name], tree.runs[tree.leaf_of[name]]
    entry = leaf.parts[-1].coefficient
    return PortState(q, port.needs.si, (1 + entry) * velocity_pressure(q, port.bore.si, tree.air.density))


@dataclass(frozen=True, slots=True)
class PartLoss:
    """What one part of a run costs at the solved flow.

    `part` is "joint", the index of a piece, or "port". `drop` is Pa of total
    pressure; `coefficient` the same in velocity pressures of the run, None
    without flow; `pipe` the length of the run's own pipe that costs as much.
    """

    run: str
    part: str | int
    label: str
    drop: float
    coefficient: float | None
    pipe: float | None


def part_losses(tree: Tree, balance: Balance, run: str) -> tuple[PartLoss, ...]:
    """Every part of a run from its joint to its port, joint and friction included; KeyError for a run that is not there."""
    i = tree.index[run]
    duct, q = tree.runs[i], balance.flows[i]
    pressure = velocity_pressure(q, duct.bore, tree.air.density)
    metre = _loss_of_a_metre(tree, duct, q)
    drops: list[tuple[str | int, str, float]] = [("joint", "joint", balance.joint_losses[i] if q > 0 else 0.0)] if duct.parent >= 0 else []
    drops += [(part.place, part.label, part_loss(part, tree, q)) for part in duct.parts]
    if more := balance.hindrance.get(i):
        gate = next(part.place for part in duct.parts if part.gate)
        drops.append((gate, "throttled gate", more * q * q))
    return tuple(
        PartLoss(run, place, label, drop, drop / pressure if pressure else None, drop / metre if metre else None) for place, label, drop in drops
    )


def _loss_of_a_metre(tree: Tree, duct: Duct, q: float) -> float:
    """Friction of a metre of the run's own pipe, Pa; 0 where it has none."""
    rough = next((part.roughness for part in duct.parts if part.length and part.bore == duct.bore), None)
    return 0.0 if rough is None else part_loss(Part("", "", duct.bore, length=1.0, roughness=rough), tree, q)


def way(tree: Tree, balance: Balance, port: str) -> tuple[PartLoss, ...]:
    """Every loss a port's air meets, from the port to the collector; they add up to the collector's pressure.

    Raises KeyError for a port that is not connected.
    """
    runs = (tree.runs[i].run for i in tree.inward(tree.leaf_of[port]))
    return tuple(loss for run in runs for loss in reversed(part_losses(tree, balance, run)))


@dataclass(frozen=True, slots=True)
class HeldPressure:
    """Stands in for the fan: the same pressure [Pa] at every flow."""

    shut_off: float
    low: float = 0.0
    high: float = 0.0
    falls: bool = True
    estimated: bool = False

    def pressure(self, _flow: float) -> tuple[float, float]:
        """The pressure held, and no slope."""
        return self.shut_off, 0.0

    def asked(self, _flow: float, pressure: float) -> float:
        """The pressure at the inlet itself."""
        return pressure


def duct_curve(tree: Tree, open_ports: Iterable[str], pressures: Iterable[float]) -> list[tuple[float, float]]:
    """(flow m3/s, pressure Pa) of the ducts alone, under each pressure [Pa] held at the collector's inlet; what has no balance is left out."""
    opened = tuple(open_ports)
    points = []
    for pressure in pressures:
        try:
            points.append((solve(replace(tree, fan=HeldPressure(pressure)), opened).flow, pressure))
        except NotConverged:
            continue
    return points
