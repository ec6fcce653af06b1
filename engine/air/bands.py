"""How sure the flows are: between which flows a port's lies, nine times in ten.

Method: what is doubtful has a span, and within it every value is as likely as
another: one draw for a kind of doubt, so that all elbows are off together.
The band goes from the 5th to the 95th percentile of such draws (JCGM 101:2008,
propagation of distributions). It is estimated without drawing: each kind is
moved from what the flows shown stand on to either end of its span, and the
network solved anew; changes upward add as the root of their squares, and so
do those downward (JCGM 100:2008, 5.1.2); 1.645 / sqrt(3) of either sum is the
end of the band, as a sum of many uniform spans is nearly normal. Against
draws the estimate covers 85 to 95 per cent (see the tests).

The kinds and their spans, judgement where no source is named:

- elbows, and bends of hoses: 30 % (published elbow data scatter by as much)
- joints: between the two sources of their law (see `losses.junctions`)
- roughness of pipe, and of hose: the span of the catalog (ASHRAE Fundamentals, duct design)
- each port: 10 % of its loss (the field's tolerance, UFGS 15951N), or 0.5 to 3
  velocity pressures where none was given (common practice, no source)
- the filter: from clean to dirty, where these are given
- the collector: 5 % of its pressure
"""

from __future__ import annotations

import sys
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import islice
from math import hypot, sqrt
from typing import TYPE_CHECKING

from engine.air.band import Band
from engine.air.fan import Fan
from engine.air.gate_sets import SetResult
from engine.air.one.asks import Ask, flows_alone
from engine.air.one.duct_maker import FLEXIBLE_HOSE, DuctMaker, Lean, guessed_port, port_loss
from engine.air.one.network import Discharging, Supply, Tree, supply_of
from engine.design import Collector, Design, Elbow, Hose, Port, Run, Tuned, defaults, stock_sizes, tuning_of
from engine.units import Quantity
from engine.values import dataclass

if TYPE_CHECKING:
    from engine.air.one.asks import Flows

ELBOWS, PORTS, COLLECTOR = 0.30, 0.10, 0.05
KINDS = ("elbows", "joints", "pipe", "hose", "filter", "collector")
_END = 1.645 / sqrt(3.0)
# To load NumPy takes as long as so many open ports take longer, asked about one by one.
_AS_LONG_AS_LOADING = 1500


@dataclass(frozen=True, slots=True)
class Doubt:
    """One kind of doubt, of KINDS, or a port's name; the network with it moved to the low and to the high end of its span."""

    of: str
    ends: tuple[Tree, Tree]


def moved(design: Design, tree: Tree, to: Mapping[str, float]) -> Tree:
    """A design's network `tree` with these doubts moved: each from 0 to 1 through its span, what is not named left as it is."""
    tuned = tuning_of(design)
    spans = {name: _span(name, tree.ports[name], tree.air.density, tuned) for name in to if name in tree.ports}
    ports = {name: low + to[name] * (high - low) for name, (low, high) in spans.items()}
    lean = Lean(elbows=_factor(to, "elbows", ELBOWS), pipe=to.get("pipe"), hose=to.get("hose"), ports=ports, tuned=tuned)
    maker = DuctMaker(stock_sizes(design), tree.ports, tree.air, lean)
    joints = tree.joints
    if "joints" in to:
        joints = tuple(joint and replace(joint, lean=2.0 * to["joints"] - 1.0) for joint in joints)
    fan = tree.fan
    if "filter" in to or isinstance(fan, Discharging):
        fan = supply_of(with_filter(design.collector, to["filter"]) if "filter" in to else design.collector, tree.air, maker)
    if "collector" in to:
        fan = _scaled(fan, _factor(to, "collector", COLLECTOR))
    ducts = list(tree.runs)
    for i in _leaning(tree, maker):
        ducts[i] = maker.duct(*tree.spots[i])
    return replace(tree, runs=tuple(ducts), maker=maker, joints=joints, fan=fan)


def _leaning(tree: Tree, maker: DuctMaker) -> Iterable[int]:
    """The positions of the runs of which anything may be otherwise by the lean of their maker."""
    if maker.lean == Lean(ports=maker.lean.ports, tuned=maker.lean.tuned):
        return [tree.leaf_of[name] for name in maker.lean.ports if name in tree.leaf_of]
    return (i for i, (run, *_) in enumerate(tree.spots) if _leans(maker, run))


def _leans(maker: DuctMaker, run: Run) -> bool:
    """Whether anything of a run may be otherwise by the lean of its maker."""
    lean, kinds = maker.lean, {type(piece) for piece in run.pieces}
    if lean.pipe is not None or run.ends in lean.ports:
        return True
    if lean.elbows != 1.0 and kinds & {Elbow, Hose}:
        return True
    material = run.material or (maker.sizes[run.size][0].material if run.size else "")
    return lean.hose is not None and (Hose in kinds or material == FLEXIBLE_HOSE)


def _factor(to: Mapping[str, float], kind: str, part: float) -> float:
    return 1.0 + part * (2.0 * to.get(kind, 0.5) - 1.0)


def doubts(design: Design, tree: Tree) -> tuple[Doubt, ...]:
    """Every doubt about a design that moves its network `tree`."""
    found = (Doubt(of, (moved(design, tree, {of: 0.0}), moved(design, tree, {of: 1.0}))) for of in (*KINDS, *tree.leaf_of))
    return tuple(doubt for doubt in found if _air_of(doubt.ends[0]) != _air_of(doubt.ends[1]))


def band(about: Sequence[Doubt], result: SetResult) -> dict[str, Band]:
    """The band of each open port in a gate set.

    Empty where the set, or one end of a doubt, has no answer: then no band
    can be told.
    """
    return _bands(about, [result])[0]


def bands(design: Design, tree: Tree, results: Sequence[SetResult]) -> list[dict[str, Band]]:
    """The `band` of every gate set."""
    return _bands(doubts(design, tree), results)


def _bands(about: Sequence[Doubt], results: Sequence[SetResult]) -> list[dict[str, Band]]:
    """All gate sets at all ends of the doubts, solved in one call."""
    ends = [_ends(about, result) for result in results]
    flows = iter(_flows([ask for asks in ends for ask in asks]))
    return [_band(result, asks, list(islice(flows, len(asks)))) for result, asks in zip(results, ends, strict=True)]


def _flows(asks: Sequence[Ask]) -> Sequence[Flows | None]:
    """The flows of each ask: one by one, where they are so few that loading NumPy would take longer."""
    if "numpy" not in sys.modules and sum(len(ask.open_ports) for ask in asks) < _AS_LONG_AS_LOADING:
        return [flows_alone(ask) for ask in asks]
    from engine.air.many.solving import flows_of

    return flows_of(asks)


def _ends(about: Sequence[Doubt], result: SetResult) -> list[Ask]:
    """The gate set at either end of every doubt that concerns it."""
    if result.balance is None:
        return []
    concern = concerning(about, result.open_ports)
    return [Ask(end, result.open_ports, result.throttled, result.balance.flows) for doubt in concern for end in doubt.ends]


def concerning(about: Sequence[Doubt], open_ports: Collection[str]) -> list[Doubt]:
    """The doubts that matter with these ports open."""
    return [doubt for doubt in about if doubt.of in KINDS or doubt.of in open_ports]


def spread(changes: Sequence[float]) -> tuple[float, float]:
    """How far a figure goes down and up from what is shown, nine times in ten, by its changes at both ends of every doubt."""
    down, up = (_END * hypot(*(max(sign * change, 0.0) for change in changes)) for sign in (-1.0, 1.0))
    return down, up


def _band(result: SetResult, asks: Sequence[Ask], flows: Sequence[Flows | None]) -> dict[str, Band]:
    if result.balance is None or any(each is None for each in flows):
        return {}
    found = {}
    for port, state in result.balance.ports.items():
        changes = [float(each[ask.tree.leaf_of[port]]) - state.flow for ask, each in zip(asks, flows, strict=True) if each is not None]
        down, up = spread(changes)
        found[port] = Band(max(state.flow - down, 0.0), state.flow + up)
    return found


def _span(name: str, port: Port, density: float, tuned: Tuned) -> tuple[float, float]:
    """The coefficients that a port's loss lies between."""
    if guessed_port(name, port, tuned):
        return defaults.PORT_LOSS_SPAN
    told = port_loss(name, port, density, tuned)
    return (1.0 - PORTS) * told, (1.0 + PORTS) * told


def with_filter(collector: Collector, at: float) -> Collector:
    """A collector whose losses lie at a share of the way from clean to dirty, as far as these are given."""
    losses = []
    for loss in collector.losses:
        clean, dirty = loss.clean or loss.drop, loss.dirty or loss.drop
        si = clean.si + at * (dirty.si - clean.si)
        drop = Quantity(si, f"{si} Pa")
        losses.append(replace(loss, clean=drop, drop=drop, dirty=drop) if loss.clean or loss.dirty else loss)
    return replace(collector, losses=tuple(losses))


def _scaled(supply: Supply, factor: float) -> Supply:
    """A supply whose collector gives so many times the pressure of its curve."""
    if isinstance(supply, Discharging):
        return replace(supply, fan=replace(supply.fan, scale=factor * supply.fan.scale))
    if isinstance(supply, Fan):
        return replace(supply, scale=factor * supply.scale)
    raise TypeError(f"no such supply: {supply!r}")


def _air_of(tree: Tree) -> tuple[object, ...]:
    return tree.runs, tree.joints, tree.fan
