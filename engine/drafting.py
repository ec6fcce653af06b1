"""A first layout of ducts from where machines and collector stand: to be edited, not to be built from.

`draft` takes a design that has everything but ducts and gives it a main with
gated branches. What is left open is filled in with ordinary values and written
into the design, where it can be seen and changed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from engine import catalog
from engine.checks.look import DRY_CHIPS
from engine.design import Cleanout, Design, Elbow, Gate, Machine, Port, Run, system
from engine.ducts import area, elbow_shape
from engine.new_items import new_piece
from engine.places import fresh_name
from engine.route_pieces import pieces, rounded, toward
from engine.routes import HOSE_RISE, Arm, Layout, Pipe, Stop, Way, layout
from engine.shop_defaults import in_store, placed, position, with_gate_sets, with_stock
from engine.units import parse
from engine.vectors import Point, heading

NOTE = "First draft from positions, to be edited: measure the shop, then correct lengths, heights and bores."

# How high a main runs, over heads, and how far a branch drops at least before its hose, m: common practice, no source.
_HEADROOM = {"metric": 2.2, "imperial": 7 * 0.3048}
_LEAST_DROP = 0.2
# Assumed of every hose, since nobody has seen its machine: judgement.
_HOSE_BEND = "45 deg"
# A bore may be this much wider than the one wanted: TRGS 553 of 2008 prints "120 (125)".
_TAKEN_FOR = 125 / 120
_LEAN = "45 deg"


def draft(shop: Design) -> Design:
    """The design with ducts to every port, in place of any it had; consistent where it was so without them.

    A main in one arm or two, the nearest machine first; branches at 45 deg
    with the gate at the main, an elbow down and at most 1 m of hose; a
    cleanout where an arm ends. A machine of several ports has one branch,
    which parts near it. A machine without ports has none.
    """
    shop = with_gate_sets(with_stock(placed(replace(shop, runs=()))))
    machines = tuple(machine for machine in shop.machines if machine.ports)
    if not machines:
        return shop
    sizes = pipe_sizes(shop)
    drops = tuple(drop_size(shop, machine, sizes) for machine in machines)
    stops = [Stop(position(machine), size.pipe) for machine, size in zip(machines, drops)]
    main = main_size(shop, machines, drops, sizes)
    plan = layout(position(shop.collector), shop.collector.faces, stops, main.pipe, main_height(shop, machines, drops))
    notes = f"{shop.notes}\n{NOTE}" if shop.notes else NOTE
    runs = _Drafter(shop, machines, drops, sizes).runs(plan)
    return replace(shop, notes=notes, collector=replace(shop.collector, faces=plan.faces), runs=runs)


# ---- bores


@dataclass(frozen=True, slots=True)
class Size:
    """A size of pipe to choose: its reference and, as pipe, its bore and the radius of its elbows."""

    ref: str
    pipe: Pipe

    @property
    def bore(self) -> float:
        """Inside diameter, m."""
        return self.pipe.bore


def pipe_sizes(design: Design) -> tuple[Size, ...]:
    """The sizes of the first pipe the store has: families seldom mate."""
    stock = next(stock for stock in in_store(design).stock if stock.kind == "pipe")
    make, radius, _ = elbow_shape(Elbow(angle=parse(_LEAN, "angle")), stock)
    bend = 0.0 if make == "mitred" else radius
    return tuple(Size(f"{stock.id}/{size.nominal}", Pipe(size.bore.si, bend * size.bore.si)) for size in stock.sizes)


def size_for(flow: float, slow: float, fast: float, sizes: Sequence[Size]) -> Size:
    """The size whose speed (m/s) at a flow (m3/s) is nearest above `slow` and not above `fast`.

    Where there is none: one whose bore may be taken for such a one, else the
    widest that is fast enough, else the narrowest.
    """
    speed = {size: flow / area(size.bore) for size in sizes}
    good = [size for size in sizes if slow <= speed[size] <= fast]
    nearly = [size for size in sizes if slow <= speed[size] * _TAKEN_FOR**2 <= fast]
    quick = [size for size in sizes if slow <= speed[size]]
    will_do = good or nearly or quick
    return _widest(will_do) if will_do else min(sizes, key=lambda size: size.bore)


def drop_size(design: Design, machine: Machine, sizes: Sequence[Size]) -> Size:
    """The size of a machine's branch: fast enough at all it needs, never narrower than for one of its ports."""
    return _widest([_branch_size(design, needs_of(machine), sizes), *(port_size(design, port, sizes) for port in machine.ports)])


def port_size(design: Design, port: Port, sizes: Sequence[Size]) -> Size:
    """The size of the pipe to a port."""
    return _branch_size(design, port.needs.si, sizes)


def main_size(design: Design, beyond: Sequence[Machine], drops: Sequence[Size], sizes: Sequence[Size]) -> Size:
    """The size of a main: fast enough for what works beyond it, never narrower than a branch there."""
    _, slow, fast = _speeds(design)
    return _widest([size_for(working_flow(design, beyond), slow, fast, sizes), *drops])


def working_flow(design: Design, machines: Sequence[Machine]) -> float:
    """The largest flow (m3/s) that one of these machines makes with the least company it works in: alone, its own needs."""
    needs = {machine.id: needs_of(machine) for machine in machines}

    def least(id: str) -> float:
        sets = (gate_set.open for gate_set in design.gate_sets if id in gate_set.open)
        return min((sum(needs.get(other, 0.0) for other in together) for together in sets), default=needs[id])

    return max(map(least, needs))


def needs_of(machine: Machine) -> float:
    """The flow a machine needs at all its ports, m3/s."""
    return sum(port.needs.si for port in machine.ports)


def main_height(design: Design, machines: Sequence[Machine], drops: Sequence[Size]) -> float:
    """How high the main runs, m: over heads, and over every port by its elbow, a drop and its hose."""
    above = HOSE_RISE + _LEAST_DROP + max(size.pipe.bend for size in drops)
    return max(_HEADROOM[system(design)], max(machine.up.si for machine in machines) + above)


def _branch_size(design: Design, flow: float, sizes: Sequence[Size]) -> Size:
    slow, _, fast = _speeds(design)
    return size_for(flow, slow, fast, sizes)


def _widest(sizes: Sequence[Size]) -> Size:
    return max(sizes, key=lambda size: size.bore)


def _speeds(design: Design) -> tuple[float, float, float]:
    """Slow limits of branch and main, and the fast one, m/s."""
    own = design.conveying
    usual = catalog.conveyed(own.material or DRY_CHIPS)
    return tuple(typed.si if (typed := getattr(own, key)) else getattr(usual, key) for key in ("slow_branch", "slow_main", "fast"))


# ---- runs


class _Drafter:
    """Writes down the runs of a layout, from the collector outward, each name once."""

    def __init__(self, shop: Design, machines: Sequence[Machine], drops: Sequence[Size], sizes: Sequence[Size]) -> None:
        self._shop, self._machines, self._drops, self._sizes = shop, machines, drops, sizes
        self._units = system(shop)
        self._stocked = in_store(shop)
        self._made: list[Run] = []
        self._gates: set[str] = set()

    def runs(self, plan: Layout) -> tuple[Run, ...]:
        """Every run of the layout."""
        if len(plan.arms) == 1:
            self._arm(plan.arms[0], "collector", plan.trunk, "main")
        else:
            size = _widest([self._main_size(range(len(self._machines))), *(self._steps(arm)[0] for arm in plan.arms)])
            trunk = self._run("main", "collector", size, pieces(plan.trunk, size.pipe.bend, self._units))
            for arm in plan.arms:
                side = toward((0.0, 0.0, 0.0), arm.direction)
                self._arm(arm, trunk, arm.start, f"main {side}", as_="leg", angle=parse(_LEAN, "angle"), toward=side)
        return tuple(self._made)

    def _run(self, wanted: str, joins: str, size: Size, made: Sequence = (), **rest) -> str:
        """Add a run; its name."""
        name = fresh_name(wanted, {run.id for run in self._made} | {"collector"})
        self._made.append(Run(id=name, joins=joins, size=size.ref, pieces=tuple(made), **rest))
        return name

    def _arm(self, arm: Arm, joins: str, start: Sequence[Point], name: str, **joint) -> None:
        """The main of one arm, which steps down past its branches, each followed by the branch at its end."""
        for way, size in zip(arm.ways, self._steps(arm)):
            made = pieces([*start, way.joint], size.pipe.bend, self._units)
            if way is arm.ways[-1]:
                made = (*made, Cleanout(name="end of the main"))
            joins = self._run(name, joins, size, made, **joint)
            self._drop(way, arm.direction, joins)
            start, joint = (way.joint,), {}

    def _steps(self, arm: Arm) -> list[Size]:
        """The size of the main before each branch of an arm, none narrower than those beyond it."""
        steps: list[Size] = []
        for i in reversed(range(len(arm.ways))):
            steps.append(_widest([self._main_size([way.stop for way in arm.ways[i:]]), *steps[-1:]]))
        return steps[::-1]

    def _main_size(self, beyond: Sequence[int]) -> Size:
        return main_size(self._shop, [self._machines[i] for i in beyond], [self._drops[i] for i in beyond], self._sizes)

    def _drop(self, way: Way, main: Point, joins: str) -> None:
        """The branch to a machine, its gate first, and what it parts into near several ports."""
        machine, size = self._machines[way.stop], self._drops[way.stop]
        gate = Gate(name=fresh_name(f"{machine.id} gate", self._gates))
        self._gates.add(gate.name)
        made = (gate, *pieces(way.points, size.pipe.bend, self._units))
        joint = {"as_": "branch", "angle": parse(_LEAN, "angle"), "toward": toward(main, heading(*way.points[:2]))}
        ports = sorted(machine.ports, key=lambda port: -port.needs.si)
        if len(ports) == 1:
            self._to_port(f"{machine.id} drop", joins, size, machine, ports[0], way, made, **joint)
            return
        joins = self._run(f"{machine.id} drop", joins, size, made, **joint)
        for i, port in enumerate(ports[1:]):
            if i:
                joins = self._run(f"{machine.id} drop", joins, size)
            lean = {"as_": "branch", "angle": parse(_LEAN, "angle")}
            self._to_port(f"{machine.id} {port.id}", joins, self._port_size(port), machine, port, way, **lean)
        self._to_port(f"{machine.id} {ports[0].id}", joins, self._port_size(ports[0]), machine, ports[0], way)

    def _to_port(self, name: str, joins: str, size: Size, machine: Machine, port: Port, way: Way, made: Sequence = (), **joint) -> None:
        """A run that ends with the hose to a port."""
        hose = new_piece("hose", self._stocked, Run(id=name, joins=joins, size=size.ref))
        hose = replace(hose, length=rounded(way.hose, self._units), bend=parse(_HOSE_BEND, "angle"))
        self._run(name, joins, size, (*made, hose), ends=f"{machine.id}/{port.id}", **joint)

    def _port_size(self, port: Port) -> Size:
        return port_size(self._shop, port, self._sizes)
