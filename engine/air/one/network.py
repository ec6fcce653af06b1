"""A Design compiled into the tree of ducts that the solver works on.

Every open port draws room air at total pressure 0; each loss on the way to the
collector adds suction. A duct is one run; a joint is what happens where ducts
meet at the outer end of their parent. Position -1 stands for the collector.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from typing import Any, Protocol, cast

from engine.air.fan import Fan, fan_of
from engine.air.losses.junctions import Joint, Leg, LegKind
from engine.air.losses.leaks import LOOSEST, gap_resistance
from engine.air.one.duct_maker import AS_PUBLISHED, DuctMaker, Lean, Spot, leaks_of
from engine.air.one.ducts import Duct, Leak, area
from engine.air.properties import Air, air_of
from engine.design import Collector, Design, Leakage, Machine, Port, Run, Tuned, children_of, defaults, joins_as, ports_of, stock_sizes, tuning_of
from engine.design.kept import ROWS, SETS, WHOLES, kept
from engine.design.meaning import branch_angle
from engine.values import dataclass


class Supply(Protocol):
    """What the solver and the checks ask of a collector."""

    @property
    def low(self) -> float:
        """Flow at the first point of the curve, m3/s."""

    @property
    def high(self) -> float:
        """Flow at the last point of the curve, m3/s."""

    @property
    def shut_off(self) -> float:
        """Pressure at no flow, Pa."""

    @property
    def falls(self) -> bool:
        """Whether the curve falls all along."""

    @property
    def estimated(self) -> bool:
        """Whether the curve is a guess."""

    def pressure(self, flow: float) -> tuple[float, float]:
        """Total pressure [Pa] supplied at the inlet at a flow [m3/s], and its slope [Pa s/m3]."""

    def asked(self, flow: float, pressure: float) -> float:
        """What the curve must give [Pa], by its own basis and density, for a pressure [Pa] at the inlet at a flow [m3/s]."""


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
        (supplied, slope), (lost, lost_slope) = self.fan.pressure(flow), self.outlet.loss(flow)
        return supplied - lost, slope - lost_slope

    def asked(self, flow: float, pressure: float) -> float:
        """What the curve must give [Pa] for a pressure [Pa] at the inlet at a flow [m3/s], the duct to the outside included."""
        return self.fan.asked(flow, pressure + self.outlet.loss(flow)[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Tree:
    """The compiled network. Its ducts go by position: the runs, each after its parent, then the leaks.

    `index` is the position of each run; `children` and `joints` are by
    position, the last ones the collector's. `leaf_of` is the position of each connected port's run,
    `gates_to` the gates on its way to the collector. `shut_gate` is the
    resistance, loss over flow squared, of the gap that a shut gate leaves,
    None where it leaves none. `spots` are what `maker` made each run's duct from.
    """

    air: Air
    fan: Supply
    runs: tuple[Duct, ...]
    leaks: tuple[Leak, ...]
    index: dict[str, int]
    children: tuple[tuple[int, ...], ...]
    joints: tuple[Joint | None, ...]
    ports: Mapping[str, Port]
    leaf_of: dict[str, int]
    gates_to: dict[str, tuple[str, ...]]
    shut_gate: float | None
    maker: DuctMaker
    spots: tuple[Spot, ...]
    ducts: tuple[Duct | Leak, ...] = field(init=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "ducts", (*self.runs, *self.leaks))

    @property
    def leak_positions(self) -> range:
        """Positions of the leaks."""
        return range(len(self.runs), len(self.ducts))

    def inward(self, duct: int) -> Iterator[int]:
        """The positions of the ducts from one of them to the collector."""
        while duct >= 0:
            yield duct
            duct = self.ducts[duct].parent

    def on_way(self, ends: Iterable[int]) -> set[int]:
        """The positions of all ducts on the ways from these outer ends to the collector."""
        found: set[int] = set()
        for end in ends:
            for duct in self.inward(end):
                if duct in found:
                    break
                found.add(duct)
        return found


# What trees of one shape have in common.
SHARED = ("air", "fan", "leaks", "index", "children", "joints", "ports", "leaf_of", "gates_to")


def compile_tree(design: Design, air: Air | None = None, lean: Lean = AS_PUBLISHED, *, before: Tree | None = None) -> Tree:
    """Compile a consistent design, as its readings have it where it is tuned to them. `air` replaces the air of its site.

    What has not changed since the tree `before` is taken over from it.
    """
    air = air or air_of(design.site)
    children, tuned = children_of(design), tuning_of(design)
    maker = DuctMaker(stock_sizes(design), _ports(ports_of(design)), air, replace(lean, tuned=tuned))
    runs, spots = _compiled(maker, children, design.collector.inlet.si, before)
    index = {duct.run: i for i, duct in enumerate(runs)}
    leaks = _leaks(design.leakage, tuned, runs, air)
    parents = [*[duct.parent for duct in runs], *[leak.parent for leak in leaks]]
    joined: list[list[int]] = [[] for _ in (*parents, -1)]
    for position, parent in enumerate(parents):
        joined[parent].append(position)
    joints = [joint_of(children[duct.run], duct, runs, index, air) for duct in runs]
    gap = design.leakage.shut_gate
    tree = Tree(
        air=air, fan=supply_of(design.collector, air, maker), runs=tuple(runs), leaks=leaks, index=index,
        children=tuple(map(tuple, joined)), joints=(*joints, *[None] * (len(leaks) + 1)), ports=maker.ports,
        leaf_of={duct.port: i for i, duct in enumerate(runs) if duct.port is not None}, gates_to=_gates_to(runs),
        shut_gate=gap_resistance(gap.si, air.density) if gap and gap.si else None, maker=maker, spots=spots,
    )  # fmt: skip
    return replace(tree, **_alike(tree, before)) if before else tree


def _alike(tree: Tree, before: Tree) -> dict[str, Any]:
    """What two trees have in common, as the objects of the one before."""
    return {name: old for name in SHARED if (old := getattr(before, name)) == getattr(tree, name)}


def changed_runs(tree: Tree, before: Tree) -> list[int] | None:
    """Positions of the runs whose ducts are others than in the tree `before`; None where it is not only what they cost that is otherwise."""
    if tree.shut_gate != before.shut_gate or not all(getattr(tree, name) is getattr(before, name) for name in SHARED):
        return None
    changed = [i for i, (new, old) in enumerate(zip(tree.runs, before.runs, strict=True)) if new is not old]
    return changed if all(tree.runs[i].gates == before.runs[i].gates for i in changed) else None


@kept(WHOLES)
def _ports(ports: Mapping[str, tuple[Machine, Port]]) -> dict[str, Port]:
    return {name: port for name, (_, port) in ports.items()}


def _compiled(maker: DuctMaker, children: Mapping[str, tuple[Run, ...]], inlet: float, before: Tree | None) -> tuple[list[Duct], tuple[Spot, ...]]:
    """The ducts of the runs, each after its parent, and what each was made from; those of `before` where that is the same."""
    known = {duct.run: (spot, duct) for spot, duct in zip(before.spots, before.runs, strict=True)} if before else {}
    alike = before is not None and maker.alike(before.maker)
    spots: list[Spot] = []
    ducts: list[Duct] = []
    waiting: list[Spot] = [(run, -1, inlet) for run in reversed(children["collector"])]
    while waiting:
        spot = waiting.pop()
        run = spot[0]
        was, duct = known.get(run.id, (None, None))
        if duct is None or was != spot or not (alike or (before and maker.ground(run) == before.maker.ground(run))):
            duct = maker.duct(*spot)
        spots.append(spot)
        ducts.append(duct)
        waiting += [(child, len(ducts) - 1, duct.bore) for child in reversed(children[run.id])]
    return ducts, tuple(spots)


def _leaks(leakage: Leakage, tuned: Tuned, runs: Sequence[Duct], air: Air) -> tuple[Leak, ...]:
    """The gaps in the walls of each run; none in those of ducts that are tight."""
    times = tuned.leakage if tuned.leakage is not None else 1.0 if leakage.tightness else 0.0
    if not times:
        return ()
    tightness, ways = leakage.tightness or LOOSEST, [*gates_behind(runs), ()]
    return tuple(leak for i, duct in enumerate(runs) for leak in leaks_of(duct, i, tightness, ways[duct.parent], air, times))


def supply_of(collector: Collector, air: Air, maker: DuctMaker) -> Supply:
    """What a collector supplies at its inlet, the duct that it blows through to the outside taken off."""
    fan = fan_of(collector, air.density, maker.lean.tuned)
    if collector.discharge != "outside" or collector.outlet is None or not collector.outlet_pieces:
        return fan
    outlet = Run(
        id="outlet", joins="collector", bore=collector.outlet, pieces=collector.outlet_pieces,
        material=collector.outlet_material or defaults.PIPE_MATERIAL,
    )  # fmt: skip
    return Discharging(fan, maker.duct(outlet, -1, collector.outlet.si))


def ports_for(tree: Tree, machines: tuple[str, ...]) -> tuple[str, ...]:
    """The ports that are open when `machines` work: those with no other gates on the way than theirs, or with none."""
    return _ports_for(tree.gates_to, machines)


@kept(SETS)
def _ports_for(ways: Mapping[str, tuple[str, ...]], machines: tuple[str, ...]) -> tuple[str, ...]:
    opened = _gates_on(ways, machines)
    return tuple(port for port, way in ways.items() if opened.issuperset(way))


def gates_for(tree: Tree, machines: tuple[str, ...]) -> frozenset[str]:
    """The gates that stand open when `machines` work: all those on their ways."""
    return _gates_on(tree.gates_to, machines)


def _gates_on(ways: Mapping[str, tuple[str, ...]], machines: tuple[str, ...]) -> frozenset[str]:
    at_work = set(machines)
    return frozenset(gate for port, way in ways.items() if port.split("/")[0] in at_work for gate in way)


def joint_of(runs: tuple[Run, ...], parent: Duct, ducts: Sequence[Duct], index: Mapping[str, int], air: Air) -> Joint | None:
    """The joint of the runs that join a duct; None where none does, or one alone goes straight on.

    `ducts` are those of all runs, `index` the position of each run in them.
    """
    return _joint_of(runs, air.density, parent.bore, *[ducts[index[run.id]].bore for run in runs]) if runs else None


@kept(ROWS)
def _joint_of(runs: tuple[Run, ...], density: float, parent_bore: float, *bores: float) -> Joint | None:
    if len(runs) == 1 and joins_as(runs[0]) == "straight" and runs[0].loss is None:
        return None
    legs = []
    for run, bore in zip(runs, bores, strict=True):
        whole = joins_as(run) == "straight" or run.taper is not None
        angle = 0.0 if joins_as(run) == "straight" else branch_angle(run)
        legs.append(_leg(cast(LegKind, joins_as(run)), area(parent_bore if whole else bore), angle, run.loss))
    return _joint(density, area(parent_bore), *legs)


@kept(ROWS)
def _leg(kind: LegKind, area: float, angle: float, coefficient: float | None) -> Leg:
    return Leg(kind, area, angle, coefficient)


@kept(ROWS)
def _joint(density: float, area: float, *legs: Leg) -> Joint:
    return Joint(density, area, legs)


def _gates_to(runs: Sequence[Duct]) -> dict[str, tuple[str, ...]]:
    return {duct.port: way for duct, way in zip(runs, gates_behind(runs), strict=True) if duct.port is not None}


def gates_behind(runs: Sequence[Duct]) -> list[tuple[str, ...]]:
    """The gates on the way from the outer end of each run to the collector."""
    ways: list[tuple[str, ...]] = []
    for duct in runs:
        ways.append((ways[duct.parent] if duct.parent >= 0 else ()) + duct.gates)
    return ways
