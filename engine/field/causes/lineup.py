"""What every suspect would show: all conditions of a design solved in each gate set that is asked for, and read off in one go."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from engine.air.along import Gauge, length_of
from engine.air.bands import with_filter
from engine.air.fan import filter_loss, loss_at
from engine.air.many.gauges import Gauges
from engine.air.many.losses import Array
from engine.air.many.solving import flows_of
from engine.air.one.balance import velocity_pressure
from engine.design import Design, GateSet
from engine.design.kept import ROWS, SETS, WHOLES, kept
from engine.design.meaning import tuning_of
from engine.field.causes.faults import Condition, with_filter_told, with_places_for_holes
from engine.field.causes.suspects import Suspect, suspects_of
from engine.field.expected import Task, doubts_of, network_of, station_of
from engine.field.spots import Spot, Unforeseen
from engine.values import dataclass

_SETS = 16  # whose answers are worth their room: a megabyte or two each


@dataclass(frozen=True, slots=True, eq=False)
class Lineup:
    """The conditions of built ducts with the filter in a state: the first with nothing wrong, then those of the suspects, then the ends of doubts.

    `courses` gives of each suspect the conditions of each of its courses;
    `doubts` of each kind of doubt those with it at its low and high end.
    Where `filter_guessed`, only ratios of the filter's drop tell anything.
    """

    conditions: tuple[Condition, ...]
    suspects: tuple[Suspect, ...]
    courses: tuple[tuple[range, ...], ...]
    doubts: dict[str, tuple[int, int]]
    open_to_holes: Condition
    filter_guessed: bool

    def begin(self, holes: bool) -> Condition:
        """Nothing wrong, with places for holes or without."""
        return self.open_to_holes if holes else self.conditions[0]


@kept(WHOLES)
def lineup_of(built: Design, state: str) -> Lineup:
    """The lineup of ducts as built, with the filter in a state."""
    design, tree = network_of(built, state)
    tuned = tuning_of(design)
    collector = with_filter_told(design.collector, tree.fan)
    sound, open_to_holes = (Condition(each, collector, tuned) for each in (tree, with_places_for_holes(tree)))
    suspects = suspects_of(tree)
    conditions = [sound]
    courses = []
    for suspect in suspects:
        begin = open_to_holes if suspect.holes else sound
        own = []
        for course in suspect.courses:
            own.append(range(len(conditions), len(conditions) + len(course.severities)))
            conditions += [course.change(begin, severity) for severity in course.severities]
        courses.append(tuple(own))
    doubts = {}
    for doubt in doubts_of(built, state):
        doubts[doubt.of] = len(conditions), len(conditions) + 1
        for at, end in enumerate(doubt.ends):
            conditions.append(Condition(end, with_filter(design.collector, at) if doubt.of == "filter" else collector, tuned))
    return Lineup(tuple(conditions), suspects, tuple(courses), doubts, open_to_holes, collector is not design.collector)


@kept(SETS)
def sound_gauge(lineup: Lineup, gate_set: GateSet) -> Gauge | None:
    """The ducts with nothing wrong, solved in a gate set; None where they have no balance."""
    ask = lineup.conditions[0].ask(gate_set)
    (flows,) = flows_of([ask])
    return None if flows is None else Gauge(ask, flows)


def why_not(lineup: Lineup, task: Task) -> str | None:
    """Why nothing can be foreseen of a task, in one line; None where something can."""
    gauge = sound_gauge(lineup, task.gate_set)
    if gauge is None:
        return f"gate set '{task.gate_set.name}' has no answer"
    if back := next((port for port in gauge.ask.open_ports if gauge.port(port).flow <= 0.0), None):
        return f"air would blow back out of port '{back}' in gate set '{task.gate_set.name}' with nothing wrong: mend that first"
    try:
        station_of(gauge, task.spot)
    except Unforeseen as reason:
        return str(reason)
    return None


def shown(lineup: Lineup, task: Task) -> Array:
    """What a task reads, SI, in every condition of a lineup; not a number where there is no balance."""
    return _shown(lineup, task.what, task.spot.port, task.spot.run, task.spot.distance, task.gate_set)


@kept(ROWS)
def _shown(lineup: Lineup, what: str, port: str | None, run: str | None, distance: float | None, gate_set: GateSet) -> Array:
    task = Task(what, Spot(port, run, distance), gate_set, "")
    return read_off(_gauges(lineup, gate_set), lineup.conditions, task)


def shown_by(conditions: Sequence[Condition], tasks: Sequence[Task]) -> Array:
    """What tasks read, SI, in conditions of one design that are asked for once: (conditions, tasks)."""
    gauges = {each: gauges_of(conditions, each) for each in dict.fromkeys(task.gate_set for task in tasks)}
    return np.array([read_off(gauges[task.gate_set], conditions, task) for task in tasks]).T


@kept(_SETS)
def _gauges(lineup: Lineup, gate_set: GateSet) -> Gauges:
    return gauges_of(lineup.conditions, gate_set)


def gauges_of(conditions: Sequence[Condition], gate_set: GateSet) -> Gauges:
    """The conditions solved in a gate set."""
    asks = [condition.ask(gate_set) for condition in conditions]
    return Gauges(asks, flows_of(asks))


def read_off(gauges: Gauges, conditions: Sequence[Condition], task: Task) -> Array:
    """What a task reads in solved conditions, as `engine.field.expected` has it."""
    tree, spot = conditions[0].tree, task.spot
    if task.what == "filter drop":
        return _drops(conditions, gauges.through)
    if task.what == "inlet suction" or (spot.run is None and spot.port is None):
        there = gauges.inlet
    elif spot.port is not None:
        there = gauges.port(spot.port)
    else:
        run = str(spot.run)
        there = gauges.along(run, length_of(tree.runs[tree.index[run]]) / 2 if spot.distance is None else spot.distance)
    match task.what:
        case "flow":
            return there.flow
        case "speed":
            return there.speed
        case "velocity pressure":
            return np.array([velocity_pressure(q, bore, tree.air.density) for q, bore in zip(there.flow, there.bore, strict=True)])
    return there.suction


def _drops(conditions: Sequence[Condition], flows: Array) -> Array:
    drops = []
    for condition, flow in zip(conditions, flows.tolist(), strict=True):
        loss = filter_loss(condition.collector)
        drops.append(np.nan if loss is None else loss_at(condition.collector, loss, flow, condition.tree.air.density, condition.tuned))
    return np.array(drops)
