"""How sure the flows are: a band for every machine, from the scatter of what is published.

Method: JCGM 100:2008 (GUM), 5.1.2 and 5.2.2. Each source of doubt is moved to
its low and its high side, all of its kind together, and the network solved
anew; half the difference is its share, and the shares, being independent of
each other, add as the root of their squares. The spans are judgement where no
source is named:

- elbows and bends of hoses: 30 % (published elbow data scatter by as much)
- joints: between the two sources of their law (see engine.air.losses.junctions)
- roughness: the span of the catalog (ASHRAE Fundamentals, duct design)
- losses of machine ports: 10 % (the field's tolerance, UFGS 15951N)
- the collector's pressure: 5 %
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot

from engine.air.balance import solve
from engine.air.duct_maker import Lean
from engine.air.gate_sets import SetResult
from engine.air.network import Supply, Tree, compile_tree
from engine.air.newton import NotConverged
from engine.design import Design

FITTINGS, PORTS, FAN = 0.30, 0.10, 0.05


@dataclass(frozen=True, slots=True)
class ScaledSupply:
    """A collector whose pressure is a share more or less than its curve says."""

    supply: Supply
    factor: float

    @property
    def low(self) -> float:
        """Flow at the first point of the curve, m3/s."""
        return self.supply.low

    @property
    def high(self) -> float:
        """Flow at the last point of the curve, m3/s."""
        return self.supply.high

    @property
    def falls(self) -> bool:
        """Whether the curve falls all along."""
        return self.supply.falls

    @property
    def estimated(self) -> bool:
        """Whether the curve is a guess."""
        return self.supply.estimated

    @property
    def shut_off(self) -> float:
        """Pressure at no flow, Pa."""
        return self.factor * self.supply.shut_off

    def pressure(self, flow: float) -> tuple[float, float]:
        """Total pressure [Pa] at a flow [m3/s], and its slope."""
        pressure, slope = self.supply.pressure(flow)
        return self.factor * pressure, self.factor * slope


def doubts(design: Design, tree: Tree) -> tuple[tuple[Tree, Tree], ...]:
    """Every source of doubt about a design, the network moved to its low and its high side; `tree` is the design's."""

    def leaning(lean: Lean) -> Tree:
        return compile_tree(design, tree.air, lean)

    def with_joints(lean: float) -> Tree:
        return replace(tree, joints=tuple(joint and replace(joint, lean=lean) for joint in tree.joints))

    def with_fan(factor: float) -> Tree:
        return replace(tree, fan=ScaledSupply(tree.fan, factor))

    return (
        (leaning(Lean(fittings=1 - FITTINGS)), leaning(Lean(fittings=1 + FITTINGS))),
        (with_joints(-1.0), with_joints(1.0)),
        (leaning(Lean(roughness="low")), leaning(Lean(roughness="high"))),
        (leaning(Lean(ports=1 - PORTS)), leaning(Lean(ports=1 + PORTS))),
        (with_fan(1 - FAN), with_fan(1 + FAN)),
    )


def band(sides: Sequence[tuple[Tree, Tree]], result: SetResult) -> dict[str, float]:
    """Half the width of each open port's band in a gate set, m3/s.

    Empty where the set, or one side of a doubt, has no answer: then no band
    can be told.
    """
    if result.balance is None:
        return {}
    try:
        flows = [(_flows(low, result), _flows(high, result)) for low, high in sides]
    except NotConverged:
        return {}
    return {port: hypot(*((low[port] - high[port]) / 2 for low, high in flows)) for port in result.balance.ports}


def _flows(side: Tree, result: SetResult) -> dict[str, float]:
    balance = solve(side, result.open_ports, throttled=result.throttled, near=result.balance)
    return {port: state.flow for port, state in balance.ports.items()}
