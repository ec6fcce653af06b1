"""What readings should show: computed of the ducts as they hang, with the band of all that is doubtful about a design.

Pure: a design and readings in, figures out. Many variants of a design are
solved in one call (`foreseen`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from engine.air.along import Gauge, Station, length_of
from engine.air.bands import Doubt, concerning, doubts, spread, with_filter
from engine.air.fan import filter_loss, loss_at
from engine.air.losses.leaks import LOOSEST
from engine.air.many.losses import Array
from engine.air.many.solving import flows_of
from engine.air.one.asks import Ask
from engine.air.one.balance import velocity_pressure
from engine.air.one.network import Tree, compile_tree, ports_for
from engine.design import Collector, Design, GateSet, Leakage, Reading, Tuned, tuning_of
from engine.design.kept import WHOLES, kept
from engine.field.built import as_built
from engine.field.spots import ALL_SHUT, Spot, Unforeseen, filter_of, gate_set_of, spot_of
from engine.units import show
from engine.values import dataclass

_BEYOND = 0.005  # m that a place may lie past the end of its run, by rounding


@dataclass(frozen=True, slots=True)
class Expected:
    """What a reading should show, SI, and between which values it lies nine times in ten, by what is doubtful about the design."""

    value: float
    low: float
    high: float


Foreseen = Expected | Unforeseen


@dataclass(frozen=True, slots=True)
class Task:
    """A reading to be foreseen: what was read where, in which gate set, with the filter in which state."""

    what: str
    spot: Spot
    gate_set: GateSet
    filter: str


def expected(design: Design, readings: Sequence[Reading]) -> tuple[Foreseen, ...]:
    """What each reading should show in a consistent design, or why nothing can be expected of it."""
    tasks = [task_of(design, reading) for reading in readings]
    found, built = dict[Task, Foreseen](), as_built(design)
    for state in _states(tasks):
        own = [task for task in dict.fromkeys(tasks) if isinstance(task, Task) and task.filter == state]
        found |= _with_bands(*network_of(built, state), doubts_of(built, state), own)
    return tuple(task if isinstance(task, Unforeseen) else found[task] for task in tasks)


def foreseen(designs: Sequence[Design], readings: Sequence[Reading]) -> list[tuple[float | None, ...]]:
    """What each reading should show in each of many designs, without bands; None where nothing can be expected of it. Solved in one call."""
    every = [[task_of(design, reading) for reading in readings] for design in designs]
    networks = [{state: network_of(as_built(design), state) for state in _states(tasks)} for design, tasks in zip(designs, every, strict=True)]
    wanted = {
        (at, task.filter, task.gate_set): _ask(networks[at][task.filter][1], task.gate_set)
        for at, tasks in enumerate(every) for task in tasks if isinstance(task, Task)
    }  # fmt: skip
    solved = dict(zip(wanted, flows_of(list(wanted.values())), strict=True))

    def value(at: int, task: Task | Unforeseen) -> float | None:
        if isinstance(task, Unforeseen):
            return None
        key = at, task.filter, task.gate_set
        flows = solved[key]
        try:
            built = networks[at][task.filter][0]
            return None if flows is None else _read_off(Gauge(wanted[key], flows), task, built.collector, tuning_of(built))
        except Unforeseen:
            return None

    return [tuple(value(at, task) for task in tasks) for at, tasks in enumerate(every)]


def task_of(design: Design, reading: Reading) -> Task | Unforeseen:
    """What a reading asks to be foreseen, or why nothing can be."""
    try:
        spot = spot_of(design, reading)
        if spot.port and all(run.ends != spot.port for run in as_built(design).runs):
            return Unforeseen(f"the run to port '{spot.port}' does not hang yet")
        return Task(reading.what, spot, gate_set_of(design, reading), filter_of(design, reading))
    except Unforeseen as reason:
        return reason


def _states(tasks: Sequence[Task | Unforeseen]) -> Iterable[str]:
    return dict.fromkeys(task.filter for task in tasks if isinstance(task, Task))


@kept(WHOLES)
def network_of(built: Design, state: str) -> tuple[Design, Tree]:
    """The ducts as built, with the filter in a state, and their network."""
    so = replace(built, collector=replace(built.collector, filter=state))
    return so, compile_tree(so)


@kept(WHOLES)
def doubts_of(built: Design, state: str) -> tuple[Doubt, ...]:
    """What is doubtful about it; a filter said to be clean or dirty is so."""
    return tuple(doubt for doubt in doubts(*network_of(built, state)) if doubt.of != "filter" or state == "used")


def _ask(tree: Tree, gate_set: GateSet, near: Sequence[float] | Array | None = None) -> Ask:
    throttled = {throttle.gate: throttle.open for throttle in gate_set.throttle}
    return Ask(tree, () if gate_set is ALL_SHUT else ports_for(tree, gate_set.open), throttled, near)


def _with_bands(design: Design, tree: Tree, about: Sequence[Doubt], tasks: Sequence[Task]) -> Iterator[tuple[Task, Foreseen]]:
    """Every task of one network, each gate set solved as it is and at both ends of each doubt."""
    sets, tuned = list(dict.fromkeys(task.gate_set for task in tasks)), tuning_of(design)
    middles = dict(zip(sets, flows_of([_ask(tree, each) for each in sets]), strict=True))
    ends = {each: _ends(design, tree, about, each, flows) for each, flows in middles.items() if flows is not None}
    solved = iter(flows_of([ask for asks in ends.values() for _, _, ask in asks]))
    gauges = {each: [(doubt, at, ask, next(solved)) for doubt, at, ask in asks] for each, asks in ends.items()}
    for task in tasks:
        flows = middles[task.gate_set]
        if flows is None or any(moved is None for *_, moved in gauges[task.gate_set]):
            yield task, Unforeseen(f"gate set '{task.gate_set.name}' has no answer")
            continue
        try:
            value = _read_off(Gauge(_ask(tree, task.gate_set), flows), task, design.collector, tuned)
            changes = [
                _read_off(Gauge(ask, moved), task, with_filter(design.collector, at) if doubt.of == "filter" else design.collector, tuned) - value
                for doubt, at, ask, moved in gauges[task.gate_set] if moved is not None
            ]  # fmt: skip
        except Unforeseen as reason:
            yield task, reason
            continue
        down, up = spread(changes)
        tight = task.gate_set is ALL_SHUT and task.what == "flow"  # no leak at all is as it should be
        yield task, Expected(value, 0.0 if tight else max(value - down, 0.0), value + up)


def _ends(design: Design, tree: Tree, about: Sequence[Doubt], gate_set: GateSet, near: Array) -> list[tuple[Doubt, float, Ask]]:
    """A gate set at both ends of every doubt that concerns it: the doubt, its end, what is to be solved."""
    ports = _ask(tree, gate_set).open_ports
    ends = [(doubt, float(at), _ask(end, gate_set, near)) for doubt in concerning(about, ports) for at, end in enumerate(doubt.ends)]
    if gate_set is ALL_SHUT:
        tightness = _tightness(design)
        ends += [(tightness, float(at), _ask(end, gate_set)) for at, end in enumerate(tightness.ends)]  # of another shape: begun afresh
    return ends


def _tightness(design: Design) -> Doubt:
    """How tight what hangs may be: wholly, or as leaky as its class allows; the loosest where the design tells none."""
    ends = (Leakage(shut_gate=design.leakage.shut_gate), replace(design.leakage, tightness=design.leakage.tightness or LOOSEST))
    tuned = replace(design.tuned, leakage=None)
    tight, loose = (compile_tree(replace(design, leakage=leakage, tuned=tuned)) for leakage in ends)
    return Doubt("leakage", (tight, loose))


def _read_off(gauge: Gauge, task: Task, collector: Collector, tuned: Tuned) -> float:
    """What a task reads in a solved network. Raises Unforeseen where the place is not in the design."""
    density = gauge.ask.tree.air.density
    if task.what == "filter drop":
        loss = filter_loss(collector)
        if loss is None:
            raise Unforeseen("the design does not say what the filter takes: give the collector a loss with clean and dirty")
        return loss_at(collector, loss, float(gauge.flows[-1]), density, tuned)
    station = gauge.inlet if task.what == "inlet suction" else station_of(gauge, task.spot)
    match task.what:
        case "flow":
            return station.flow
        case "speed":
            return station.speed
        case "velocity pressure":
            return velocity_pressure(station.flow, station.bore, density)
    return station.suction


def station_of(gauge: Gauge, spot: Spot) -> Station:
    """The air at a place to measure. Raises Unforeseen where the run ends before it, or where a joint before it tells nothing without air."""
    if spot.port is not None:
        return gauge.port(spot.port)
    if spot.run is None:
        return gauge.inlet
    tree = gauge.ask.tree
    length = length_of(tree.runs[tree.index[spot.run]])
    if spot.distance is not None and spot.distance > length + _BEYOND:
        raise Unforeseen(f"run '{spot.run}' ends {show(length, 'length', 'metric')} from its collector end, before that place")
    if gauge.unsure(spot.run):
        raise Unforeseen(
            f"no open port draws through run '{spot.run}', and a joint before it has a loss of its own: that holds where air flows alone"
        )
    return gauge.along(spot.run, length / 2 if spot.distance is None else spot.distance)
