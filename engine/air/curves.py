"""What the collector supplies against flow, what the ducts take, and where both meet."""

from __future__ import annotations

from engine.air.gate_sets import SetResult
from engine.air.one.balance import duct_curve
from engine.air.one.network import Tree
from engine.values import dataclass

Points = list[tuple[float, float]]
_SUPPLY_STEPS = 24
_DUCT_STEPS = 10


@dataclass(frozen=True, slots=True)
class Curves:
    """Points (m3/s, Pa), flows rising: what the collector supplies, and what the ducts take; `point` is where they meet."""

    supply: Points
    demand: Points
    point: tuple[float, float] | None


def curves(tree: Tree, result: SetResult) -> Curves:
    """The curves of a gate set, total pressure at the inlet of the collector. This solves the ducts anew for each point."""
    fan, balance = tree.fan, result.balance
    end = max(fan.high, 1.1 * balance.flow if balance else 0.0)
    supply = [(flow, fan.pressure(flow)[0]) for flow in (end * step / _SUPPLY_STEPS for step in range(_SUPPLY_STEPS + 1))]
    if balance is None or balance.flow <= 0:
        return Curves(supply, [], None)
    top = max(pressure for _, pressure in supply)
    pressures = [top * (step / _DUCT_STEPS) ** 2 for step in range(1, _DUCT_STEPS + 1)]
    demand = [(0.0, 0.0), *sorted(duct_curve(tree, result.open_ports, pressures))]
    return Curves(supply, demand, (balance.flow, balance.collector_pressure))
