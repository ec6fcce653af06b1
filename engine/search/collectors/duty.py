"""Duty: what each gate set asks of a collector, so that every machine at work gets its need.

The ducts stay as they are. The least total pressure at the collector's inlet
is sought at which every working port has its need, and the margin asked for;
the flow that the whole set then draws goes with it. What a curve must show
there follows by the basis and the density of the design's collector, with its
filter clean and loaded: figures to hold against a data sheet, so what readings
tell of the collector that stands there is left out of them.
"""

from __future__ import annotations

from dataclasses import replace

from engine.air.gate_sets import SetResult, working_ports
from engine.air.one.balance import Balance, HeldPressure, solve, velocity_pressure
from engine.air.one.network import Supply, Tree, compile_tree, ports_for
from engine.air.one.newton import NotConverged
from engine.design import Design, GateSet, gate_sets_of
from engine.values import dataclass

# Flow goes with about the square root of pressure, so each step leaves a tenth of the error or less.
_STEPS, _NEAR, _START, _MOST = 60, 1e-7, 1000.0, 1e5
_LARGEST_STEP = 16.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty:
    """What one gate set asks.

    `flow` [m3/s] of all ports, at the shop's density; `pressure` [Pa], total,
    at the collector's inlet; `suction` [Pa], static, in the inlet's bore;
    `clean` and `loaded` [Pa]: what the curve must give at that flow, by its
    basis and density, with the filter so; `has` what the design's collector
    gives there. `port` decides. `trouble` tells why there is no duty; the
    numbers are 0 then.
    """

    gate_set: str
    flow: float = 0.0
    pressure: float = 0.0
    suction: float = 0.0
    clean: float = 0.0
    loaded: float = 0.0
    has: float = 0.0
    port: str = ""
    trouble: str = ""

    @property
    def lacks(self) -> float:
        """How many times its pressure the collector with a loaded filter must give: above 1, it is too weak."""
        return self.loaded / self.has if self.has > 0 else float("inf")


def duties(design: Design, margin: float = 0.0) -> tuple[Duty, ...]:
    """The duty of every gate set, each need raised by a share `margin`."""
    tree = compile_tree(design)
    bought = replace(design, tuned=design.tuned.of_ducts)
    states = tuple(_supply(bought, tree, state) for state in ("clean", "dirty"))
    stands = _supply(design, tree, "dirty")
    return tuple(_duty(design, tree, gate_set, (*states, stands), margin) for gate_set in gate_sets_of(design))


def filter_known(design: Design) -> bool:
    """Whether it is told what the collector's filter takes when it wants cleaning: else a loaded one is figured like a clean one."""
    return any(loss.dirty is not None for loss in design.collector.losses)


def worst(found: tuple[Duty, ...]) -> Duty | None:
    """The duty furthest beyond what the design's collector gives with a loaded filter; None where no set has one."""
    return max((duty for duty in found if not duty.trouble), key=lambda duty: duty.lacks, default=None)


def _supply(design: Design, tree: Tree, filter_state: str) -> Supply:
    collector = replace(design.collector, filter=filter_state)
    return compile_tree(replace(design, collector=collector), tree.air, before=tree).fan


def _duty(design: Design, tree: Tree, gate_set: GateSet, states: tuple[Supply, ...], margin: float) -> Duty:
    try:
        found = _least(tree, gate_set, margin)
    except NotConverged as trouble:
        return Duty(gate_set=gate_set.name, trouble=f"no answer: {trouble}")
    if found is None:
        return Duty(gate_set=gate_set.name, trouble="no pressure gives every machine its need")
    balance, port = found
    flow, pressure = balance.flow, balance.collector_pressure
    clean, loaded, stands = states
    return Duty(
        gate_set=gate_set.name, flow=flow, pressure=pressure, suction=pressure + velocity_pressure(flow, design.collector.inlet.si, tree.air.density),
        clean=clean.asked(flow, pressure), loaded=loaded.asked(flow, pressure), has=loaded.asked(flow, stands.pressure(flow)[0]), port=port,
    )  # fmt: skip


def _least(tree: Tree, gate_set: GateSet, margin: float) -> tuple[Balance, str] | None:
    """The balance at the least pressure at which every working port has its need, and the port that has no more; None where there is none."""
    ports = ports_for(tree, gate_set.open)
    asked = SetResult(gate_set, ports, None)
    pressure, near = _START, None
    for _ in range(_STEPS):
        near = solve(replace(tree, fan=HeldPressure(pressure)), ports, throttled=asked.throttled, near=near)
        shares = {port: state.flow / state.needs for port, state in working_ports(replace(asked, balance=near))}
        if not shares:
            return None
        port = min(shares, key=lambda name: shares[name])
        over = shares[port] / (1.0 + margin)
        if abs(over - 1.0) < _NEAR:
            return near, port
        pressure *= min(over**-2, _LARGEST_STEP) if over > 0 else _LARGEST_STEP
        if pressure > _MOST:
            return None
    return None
