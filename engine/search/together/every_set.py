"""Every combination of machines at work, solved and graded: which gates may be open together?

A set opens the gates on the ways of its machines, each of them wide open, and
is graded by the same limits as a gate set of the design.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import IntEnum
from itertools import combinations
from math import comb
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from engine.air.many.losses import Array
from engine.air.many.newton import Cases, Settled, settle, ways_of
from engine.air.one.balance import solve
from engine.air.one.ducts import area
from engine.air.one.network import Tree
from engine.air.one.newton import PRESSURE_TOLERANCE, NotConverged
from engine.checks.look import Look
from engine.checks.rules import limit
from engine.values import dataclass

Bools = NDArray[np.bool_]
Grades = NDArray[np.int8]

MOST_SETS = 2**14 - 1  # half a second or so


class Grade(IntEnum):
    """PASSES: without a fault, as a gate set passes. GOOD: without a caution about its air either."""

    FAILS = 0
    PASSES = 1
    GOOD = 2


@dataclass(frozen=True, slots=True)
class EverySet:
    """Sets of machines at work with their air and grades, fewest machines first.

    `at_work` is (sets, machines): machine i alone is set i. `flow` (sets,) and
    `port_flow` (sets, ports) in m3/s, `velocity` (sets, runs) in m/s; shut ones
    have what leaks, or 0. `carries` (sets, runs) tells runs that lead to a port
    that draws, `blown_back` (sets, ports) open ports that draw nothing,
    `answered` (sets,) whether there is a balance. `largest` is the most
    machines in a set; with all of them, no combination is missing.

    `air` (sets,) grades speeds, blow-back and where the collector works;
    `served` (sets, machines) what a machine gets, as far as it is at work;
    `grade` (sets,) is the lowest of both.
    """

    machines: tuple[str, ...]
    ports: tuple[str, ...]
    runs: tuple[str, ...]
    largest: int
    at_work: Bools
    flow: Array
    port_flow: Array
    velocity: Array
    carries: Bools
    blown_back: Bools
    answered: Bools
    air: Grades
    served: Grades
    grade: Grades

    @property
    def complete(self) -> bool:
        """Whether every combination is here."""
        return self.largest == len(self.machines)

    def members(self, row: int) -> tuple[str, ...]:
        """The machines at work in a set."""
        return tuple(self.machines[i] for i in np.flatnonzero(self.at_work[row]))


def every_set(look: Look, largest: int | None = None) -> EverySet:
    """Solve and grade the sets of at most `largest` machines, one or more; of any number where None.

    Machines without a connected port take no part. At most MOST_SETS sets
    are solved, and at least every machine alone: where there are more,
    `largest` is lowered to what fits.
    """
    tree = look.tree
    ports, runs = tuple(tree.leaf_of), tree.runs
    connected = {port.split("/")[0] for port in ports}
    machines = tuple(machine.id for machine in look.design.machines if machine.id in connected)
    most = _most_together(len(machines), largest)
    at_work = _combinations(len(machines), most)
    port_open, leak_open, hindrance = _open_ports(tree, machines, ports, at_work)
    flows, draws, answered = _solve(tree, ports, port_open, leak_open, hindrance)
    total = flows[-1]
    port_flow = flows[[tree.leaf_of[port] for port in ports]].T
    velocity = flows[: len(runs)].T / np.array([area(duct.speed_bore) for duct in runs])
    carries = _carrying_ducts(tree, ports, draws)[: len(runs)].T
    blown_back = (port_open & ~draws & answered).T
    air = _air_grades(look, velocity, carries, total)
    air[~answered | blown_back.any(axis=1)] = Grade.FAILS
    served = _service_grades(look, machines, ports, port_flow)
    grade = np.minimum(air, np.where(at_work, served, np.int8(Grade.GOOD)).min(axis=1, initial=Grade.GOOD))
    return EverySet(
        machines=machines, ports=ports, runs=tuple(duct.run for duct in runs), largest=most, at_work=at_work,
        flow=total, port_flow=port_flow, velocity=velocity, carries=carries, blown_back=blown_back, answered=answered,
        air=air, served=served, grade=grade,
    )  # fmt: skip


def _most_together(machines: int, wanted: int | None) -> int:
    """The most machines in a set, so that no more than MOST_SETS sets arise."""
    most = sets = 0
    while most < min(machines, machines if wanted is None else max(wanted, 1)):
        sets += comb(machines, most + 1)
        if most and sets > MOST_SETS:
            break
        most += 1
    return most


def _combinations(machines: int, most: int) -> Bools:
    """(sets, machines), fewest machines first."""
    every = [chosen for size in range(1, most + 1) for chosen in combinations(range(machines), size)]
    at_work = np.zeros((len(every), machines), bool)
    for row, chosen in enumerate(every):
        at_work[row, list(chosen)] = True
    return at_work


def _open_ports(tree: Tree, machines: tuple[str, ...], ports: tuple[str, ...], at_work: Bools) -> tuple[Bools, Bools, Array | None]:
    """Ports and leaks whose every gate is open (each by sets), and what shut gates that leave a gap add to ducts (ducts, sets)."""
    gates = tuple(dict.fromkeys(gate for duct in tree.runs for gate in duct.gates))
    on_way = _table(ports, gates, lambda port, gate: gate in tree.gates_to[port])
    of = _table(ports, machines, lambda port, machine: port.split("/")[0] == machine)
    gate_open = (at_work @ (of.T @ on_way)).T
    port_open = ~(on_way @ ~gate_open)
    leak_open = ~(_table(tree.leaks, gates, lambda leak, gate: gate in leak.behind) @ ~gate_open)
    if not tree.shut_gate:
        return port_open, leak_open, None
    in_run = _table(tree.runs, gates, lambda duct, gate: gate in duct.gates)
    hindrance = tree.shut_gate * (in_run.astype(float) @ ~gate_open)
    return port_open, leak_open, np.pad(hindrance, ((0, len(tree.leaks)), (0, 0)))


_Row = TypeVar("_Row")
_Column = TypeVar("_Column")


def _table(rows: Sequence[_Row], columns: Sequence[_Column], holds: Callable[[_Row, _Column], bool]) -> Bools:
    """What holds for each row and column; products of such tables mean "for some"."""
    return np.array([[holds(row, column) for column in columns] for row in rows], bool).reshape(len(rows), len(columns))


def _solve(tree: Tree, ports: tuple[str, ...], port_open: Bools, leak_open: Bools, hindrance: Array | None) -> tuple[Array, Bools, Bools]:
    """Flows (ducts, sets), the collector's last, ports that draw (ports, sets) and sets with an answer (sets,).

    What full steps leave over is taken from a set without the ports that blow
    back, or else solved by itself.
    """
    leaves = [tree.leaf_of[port] for port in ports]
    ends = np.zeros((len(tree.ducts), port_open.shape[1]), bool)
    ends[leaves] = port_open if hindrance is None else True
    ends[tree.leak_positions] = leak_open
    settled = settle(Cases([tree], np.zeros(ends.shape[1], np.intp), ends, hindrance))
    flows, draws, answered = settled.flows, port_open & settled.balanced, settled.balanced.copy()
    for index in map(int, np.flatnonzero(~settled.balanced)):
        # Where shut gates leak, or keep walls from leaking, ports held shut are not as if their gates were.
        alike = _without_blown(settled, leaves, port_open, index) if hindrance is None and leak_open.all() else None
        if alike is not None:
            flows[:, index], draws[:, index], answered[index] = flows[:, alike], port_open[:, alike], True
            continue
        wanted = [port for port, is_open in zip(ports, port_open[:, index], strict=True) if is_open]
        try:
            balance = solve(tree, wanted)
        except NotConverged:
            continue
        flows[:, index], answered[index] = balance.flows, True
        draws[:, index] = [port in wanted and port not in balance.blown_back for port in ports]
    return flows, draws, answered


def _without_blown(settled: Settled, leaves: list[int], port_open: Bools, index: int) -> int | None:
    """The one balanced set with some of these ports shut, none of which would draw there; None where not just one is."""
    fewer = settled.balanced & ~(port_open & ~port_open[:, [index]]).any(axis=0)
    at = np.flatnonzero(fewer)
    would_draw = settled.suction[leaves][:, at] > PRESSURE_TOLERANCE
    held = port_open[:, [index]] & ~port_open[:, at]
    fitting = at[~(held & would_draw).any(axis=0)]
    return int(fitting[0]) if len(fitting) == 1 else None


def _carrying_ducts(tree: Tree, ports: tuple[str, ...], draws: Bools) -> Bools:
    """Ducts that lead to a port that draws (ducts, sets)."""
    ends = np.zeros((len(tree.ducts), draws.shape[1]), bool)
    ends[[tree.leaf_of[port] for port in ports]] = draws
    return ways_of(tree, ends)


def _air_grades(look: Look, velocity: Array, carries: Bools, total: Array) -> Grades:
    """Grades of the speeds in runs that carry air, and of where the collector works (sets,)."""
    limits = [look.limits[duct.run] for duct in look.tree.runs]
    slow, settles, fast = np.array([(band.slow.least, band.settles.least, band.fast.most) for band in limits]).reshape(-1, 3).T
    # A hose of another bore is slower or faster than the pipe of its run.
    widest, narrowest = ([(duct.speed_bore / which[duct.run].bore) ** 2 for duct in look.tree.runs] for which in (look.widest, look.narrowest))
    slowest, fastest = velocity * widest, velocity * narrowest
    fan = look.tree.fan
    rising = np.array([fan.pressure(flow)[1] > 0 for flow in total.tolist()], bool)
    passes = ~(carries & (slowest < np.minimum(slow, settles))).any(axis=1) & (total >= limit(look.design, "too-weak", "flow"))
    good = ~(carries & ((slowest < slow) | (fastest > fast))).any(axis=1) & (fan.low <= total) & (total <= fan.high) & ~rising
    return np.where(passes, np.where(good, Grade.GOOD, Grade.PASSES), Grade.FAILS).astype(np.int8)


def _service_grades(look: Look, machines: tuple[str, ...], ports: tuple[str, ...], port_flow: Array) -> Grades:
    """What each machine gets of what it needs (sets, machines)."""
    tree, tolerance = look.tree, limit(look.design, "starved-machine", "tolerance")
    served = np.full((len(port_flow), len(machines)), Grade.GOOD, np.int8)
    for port, flow in zip(ports, port_flow.T, strict=True):
        needs, column = tree.ports[port].needs.si, machines.index(port.split("/")[0])
        enough = np.where(flow >= needs, Grade.GOOD, np.where(flow >= tolerance * needs, Grade.PASSES, Grade.FAILS))
        served[:, column] = np.minimum(served[:, column], enough)
    return served
