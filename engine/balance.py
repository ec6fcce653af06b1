"""Solve the network for a set of open ports, and say what air does in every run.

The flows come from `engine.newton`; here they become suctions, speeds and
losses that a person can measure, down to each part on the way of the air.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from engine.losses.elbows import mitred_reynolds_factor
from engine.losses.friction import colebrook
from engine.losses.junctions import momentum
from engine.network import Duct, Part, Tree, area, reynolds_per_flow
from engine.live import FrictionLaw, JointLaw, Laws, Live, State
from engine.newton import NotConverged, settle

@dataclass(frozen=True, slots=True)
class RunState:
    """One run in a solved network: flow m3/s, velocity m/s in its own bore, Pa.

    `loss` is of total pressure from the outer end to the collector end, the
    joint at its collector end included. The suctions are static.
    """

    flow: float
    velocity: float
    loss: float
    suction_near: float
    suction_far: float


@dataclass(frozen=True, slots=True)
class PortState:
    """One open port: flow and what it needs, m3/s; static suction in its bore, Pa."""

    flow: float
    needs: float
    suction: float


@dataclass(frozen=True, slots=True)
class Balance:
    """A solved network. `flows` and `joint_losses` are by duct of the tree. `imbalance` is the worst path's pressure error, Pa.

    `blown_back` are open ports out of which air would blow; they are held at
    no flow. `rising` tells that the collector works where its curve rises.
    """

    flow: float
    collector_pressure: float
    runs: dict[str, RunState]
    ports: dict[str, PortState]
    flows: tuple[float, ...]
    joint_losses: tuple[float, ...]
    blown_back: tuple[str, ...]
    rising: bool
    imbalance: float


def solve(tree: Tree, open_ports: Iterable[str], *, friction: FrictionLaw = colebrook, joints: JointLaw = momentum) -> Balance:
    """Balance the network with these ports open, every other shut.

    `friction(Re, e/D) -> (f, dln f/dln Re)` and `joints(joint, flows) ->
    (losses, Jacobian)` replace the laws. Mass holds to rounding, pressure to
    0.01 Pa on every path; otherwise NotConverged. Raises KeyError for a port
    that is not connected.
    """
    wanted = list(dict.fromkeys(open_ports))
    leaf_of = tree.leaf_of
    leaves = [leaf_of[port] for port in wanted]
    laws = (friction, joints)
    live, state = settle(tree, leaves, {}, laws)
    drawing = {live.index[leaf] for leaf in live.leaves}
    back = tuple(port for port, leaf in zip(wanted, leaves) if leaf not in drawing)
    return _balance(tree, wanted, live, state, laws, back)


def _balance(tree: Tree, wanted: list[str], live: Live, state: State, laws: Laws, back: tuple[str, ...]) -> Balance:
    flows, losses = [0.0] * len(tree.ducts), [0.0] * len(tree.ducts)
    for position, duct in enumerate(live.index):
        flows[duct], losses[duct] = state.q[position], state.h[position]
    joint_losses = _joint_losses(tree, live, state, flows, laws[1])
    open_gates = {gate for port in wanted for gate in tree.gates_to[port]}
    runs: dict[str, RunState] = {}
    outer = [0.0] * len(tree.ducts)
    for i, duct in enumerate(tree.ducts):
        inner = (outer[duct.parent] if duct.parent >= 0 else state.fan) - joint_losses[i]
        if flows[i] > 0:
            runs[duct.run], outer[i] = _drawing(tree, duct, inner, flows[i], losses[i], joint_losses[i])
        else:
            outer[i] = inner if open_gates.issuperset(duct.gates) else 0.0
            runs[duct.run] = RunState(0.0, 0.0, 0.0, inner, outer[i])
    ports = {port: _port_state(tree, port, flows[tree.leaf_of[port]]) for port in wanted}
    total = state.q[0] if state.q else 0.0
    return Balance(total, state.fan, runs, ports, tuple(flows), tuple(joint_losses), back, state.fan_slope > 0, state.worst)


def _joint_losses(tree: Tree, live: Live, state: State, flows: list[float], law: JointLaw) -> list[float]:
    """Of every duct at its inner end; a shut one has the loss that a first breath of air would meet."""
    losses = [0.0] * len(flows)
    for position, parent in enumerate(live.index):
        losses[parent] = state.j[position]
        joint, kids = tree.joints[parent], tree.children[parent]
        if joint is not None and len(live.kids[position]) < len(kids):
            for kid, loss in zip(kids, law(joint, [flows[kid] for kid in kids])[0]):
                losses[kid] = loss
    return losses


def _drawing(tree: Tree, duct: Duct, inner: float, q: float, loss: float, joint_loss: float) -> tuple[RunState, float]:
    """The state of a run that carries air, and the total suction at its outer end, where `inner` is before its joint."""
    square = q * q
    near = inner - duct.joint_square * square
    far = inner - loss + duct.port_square * square
    pressure = tree.air.density / 2 * square
    state = RunState(
        q, q / area(duct.bore), joint_loss + inner - far,
        near + pressure / area(duct.near_bore) ** 2, far + pressure / area(duct.far_bore) ** 2,
    )  # fmt: skip
    return state, far


def velocity_pressure(q: float, bore: float, density: float) -> float:
    """Of a flow in a bore, Pa."""
    return density / 2 * (q / area(bore)) ** 2


def part_loss(part: Part, tree: Tree, q: float, friction: FrictionLaw = colebrook) -> float:
    """Total-pressure loss of one part at a flow, Pa."""
    if q <= 0:
        return 0.0
    reynolds = q * reynolds_per_flow(part.bore, tree.air)
    coefficient = part.coefficient * (mitred_reynolds_factor(reynolds)[0] if part.mitred else 1.0)
    if part.length:
        coefficient += friction(reynolds, part.roughness / part.bore)[0] * part.length / part.bore
    return coefficient * velocity_pressure(q, part.bore, tree.air.density)


def _port_state(tree: Tree, name: str, q: float) -> PortState:
    port, leaf = tree.ports[name], tree.ducts[tree.leaf_of[name]]
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
    """Every part of a run from its joint to its port, joint and friction included."""
    i = tree.index[run]
    duct, q = tree.ducts[i], balance.flows[i]
    pressure = velocity_pressure(q, duct.bore, tree.air.density)
    metre = _loss_of_a_metre(tree, duct, q)
    drops = [("joint", "joint", balance.joint_losses[i] if q > 0 else 0.0)] if duct.parent >= 0 else []
    drops += [(part.place, part.label, part_loss(part, tree, q)) for part in duct.parts]
    return tuple(
        PartLoss(run, place, label, drop, drop / pressure if pressure else None, drop / metre if metre else None)
        for place, label, drop in drops
    )


def _loss_of_a_metre(tree: Tree, duct: Duct, q: float) -> float:
    """Friction of a metre of the run's own pipe, Pa; 0 where it has none."""
    rough = next((part.roughness for part in duct.parts if part.length and part.bore == duct.bore), None)
    return 0.0 if rough is None else part_loss(Part("", "", duct.bore, length=1.0, roughness=rough), tree, q)


def way(tree: Tree, balance: Balance, port: str) -> tuple[PartLoss, ...]:
    """Every loss a port's air meets, from the port to the collector; they add up to the collector's pressure."""
    losses: list[PartLoss] = []
    i = tree.leaf_of[port]
    while i >= 0:
        losses.extend(reversed(part_losses(tree, balance, tree.ducts[i].run)))
        i = tree.ducts[i].parent
    return tuple(losses)


@dataclass(frozen=True, slots=True)
class _HeldPressure:
    """Stands in for the fan: the same pressure at every flow."""

    shut_off: float
    high: float = 0.0

    def pressure(self, _flow: float) -> tuple[float, float]:
        return self.shut_off, 0.0


def duct_curve(tree: Tree, open_ports: Iterable[str], pressures: Iterable[float]) -> list[tuple[float, float]]:
    """(flow m3/s, pressure Pa) of the ducts alone, under each pressure held at the collector's inlet."""
    opened = tuple(open_ports)
    points = []
    for pressure in pressures:
        try:
            points.append((solve(replace(tree, fan=_HeldPressure(pressure)), opened).flow, pressure))
        except NotConverged:
            continue
    return points
