"""Where things stand in a design: a Place for every kind of thing that can be selected, changed or found fault with.

A Place holds indices, so it belongs to one design: after an edit the same Place may be that of another thing, or of none.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from engine.design.kept import WHOLES, kept
from engine.design.model import Design, Machine
from engine.design.place import Place, Row, Rows, Steps, Table, Within, place_at
from engine.values import dataclass

__all__ = ["Place", "Row", "Rows", "Table", "Within", "place_at"]


@dataclass(frozen=True, slots=True)
class RunAt(Row):
    """A run."""

    run: int
    way = ("runs", ...)


@dataclass(frozen=True, slots=True)
class PieceAt(Row):
    """A piece of a run."""

    run: int
    piece: int
    way = ("runs", ..., "pieces", ...)


@dataclass(frozen=True, slots=True)
class MachineAt(Row):
    """A machine."""

    machine: int
    way = ("machines", ...)


@dataclass(frozen=True, slots=True)
class PortAt(Row):
    """A port of a machine."""

    machine: int
    port: int
    way = ("machines", ..., "ports", ...)


@dataclass(frozen=True, slots=True)
class StockAt(Row):
    """A family of pipe or hose."""

    stock: int
    way = ("stock", ...)


@dataclass(frozen=True, slots=True)
class SizeAt(Row):
    """A size of a stock."""

    stock: int
    size: int
    way = ("stock", ..., "sizes", ...)


@dataclass(frozen=True, slots=True)
class GateSetAt(Row):
    """A gate set."""

    gate_set: int
    way = ("gate_sets", ...)


@dataclass(frozen=True, slots=True)
class ThrottleAt(Row):
    """A gate that a gate set leaves part open."""

    gate_set: int
    throttle: int
    way = ("gate_sets", ..., "throttle", ...)


@dataclass(frozen=True, slots=True)
class CurvePointAt(Row):
    """A point of the collector's curve."""

    point: int
    way = ("collector", "curve", ...)


@dataclass(frozen=True, slots=True)
class LossAt(Row):
    """A loss of the collector."""

    loss: int
    way = ("collector", "losses", ...)


@dataclass(frozen=True, slots=True)
class OutletPieceAt(Row):
    """A piece of the duct that leads outside."""

    piece: int
    way = ("collector", "outlet_pieces", ...)


@dataclass(frozen=True, slots=True)
class CornerAt(Row):
    """A corner of the room."""

    corner: int
    way = ("site", "room", ...)


@dataclass(frozen=True, slots=True)
class ZoneAt(Row):
    """A post, a door or a place to keep clear."""

    zone: int
    way = ("site", "zones", ...)


@dataclass(frozen=True, slots=True)
class FittingLengthAt(Row):
    """The length of a fitting's body, of a stock."""

    stock: int
    length: int
    way = ("stock", ..., "fitting_lengths", ...)


@dataclass(frozen=True, slots=True)
class ChoiceAt(Row):
    """A collector to choose from."""

    choice: int
    way = ("collector_choices", ...)


@dataclass(frozen=True, slots=True)
class ChoicePointAt(Row):
    """A point of the curve of a collector to choose from."""

    choice: int
    point: int
    way = ("collector_choices", ..., "curve", ...)


@dataclass(frozen=True, slots=True)
class ChoiceLossAt(Row):
    """A loss of a collector to choose from."""

    choice: int
    loss: int
    way = ("collector_choices", ..., "losses", ...)


@dataclass(frozen=True, slots=True)
class AcceptedAt(Row):
    """A finding that may stay."""

    accepted: int
    way = ("accepted", ...)


@dataclass(frozen=True, slots=True)
class OwnLimitAt(Row):
    """A limit set for this shop."""

    limit: int
    way = ("limits", ...)


@dataclass(frozen=True, slots=True)
class GaugePointAt(Row):
    """A place where a duct can be measured."""

    test_point: int
    way = ("test_points", ...)


@dataclass(frozen=True, slots=True)
class ReadingAt(Row):
    """A reading."""

    reading: int
    way = ("readings", ...)


@dataclass(frozen=True, slots=True)
class TunedPortAt(Row):
    """A port of which the readings tell by itself."""

    port: int
    way = ("tuned", "own_ports", ...)


@dataclass(frozen=True, slots=True)
class LogEntryAt(Row):
    """An entry of the log."""

    entry: int
    way = ("log", ...)


@dataclass(frozen=True, slots=True)
class LeftOverAt(Row):
    """A part left over."""

    left_over: int
    way = ("left_over", ...)


@dataclass(frozen=True, slots=True)
class _Ending(Place):
    run: int

    @property
    def steps(self) -> Steps:
        """The way to the run: what a joint or an end is made of are fields of it."""
        return ("runs", self.run)

    @property
    def holder(self) -> RunAt:
        """The run."""
        return RunAt(self.run)


@dataclass(frozen=True, slots=True)
class JointOf(_Ending):
    """Where a run joins; what stands there is the run."""


@dataclass(frozen=True, slots=True)
class EndOf(_Ending):
    """The far end of a run, at a port; what stands there is the run."""


OfRun = RunAt | PieceAt | JointOf | EndOf
OfMachine = MachineAt | PortAt

DESIGN = Table()
COLLECTOR, SITE, CONVEYING, LEAKAGE = map(Table, ("collector", "site", "conveying", "leakage"))
RUNS, MACHINES, STOCK, GATE_SETS = (Rows(DESIGN, field) for field in ("runs", "machines", "stock", "gate_sets"))
CHOICES, ACCEPTED, OWN_LIMITS, TEST_POINTS, READINGS, LOG, LEFT_OVER = (
    Rows(DESIGN, field) for field in ("collector_choices", "accepted", "limits", "test_points", "readings", "log", "left_over")
)
CURVE, LOSSES, OUTLET = (Rows(COLLECTOR, field) for field in ("curve", "losses", "outlet_pieces"))
ROOM, ZONES = Rows(SITE, "room"), Rows(SITE, "zones")


def whole(place: Place) -> Place:
    """The run or the machine a place belongs to; any other place itself."""
    match place:
        case RunAt(run) | PieceAt(run, _) | JointOf(run) | EndOf(run):
            return RunAt(run)
        case MachineAt(machine) | PortAt(machine, _):
            return MachineAt(machine)
    return place


def at(design: Design, place: Place) -> Any:
    """What stands at a place: a dataclass, or a tuple of them where it is a whole list. Raises IndexError where nothing does."""
    item: Any = design
    for step in place.steps:
        item = item[step] if isinstance(step, int) else getattr(item, step)
    return item


def put(design: Design, place: Place, new: Any) -> Design:
    """`design` with `new` at a place."""
    changed: Design = _put(design, place.steps, new)
    return changed


def _put(item: Any, steps: Steps, new: Any) -> Any:
    if not steps:
        return new
    step, rest = steps[0], steps[1:]
    if isinstance(step, int):
        return (*item[:step], _put(item[step], rest, new), *item[step + 1 :])
    return replace(item, **{step: _put(getattr(item, step), rest, new)})


def run_place(design: Design, run_id: str) -> RunAt:
    """The place of the run of this id. Raises StopIteration where there is none."""
    return RunAt(next(i for i, run in enumerate(design.runs) if run.id == run_id))


@kept(WHOLES)
def runs_at(design: Design) -> Mapping[str, RunAt]:
    """The place of every run by its id."""
    return {run.id: RunAt(i) for i, run in enumerate(design.runs)}


def ports_at(design: Design) -> Mapping[str, PortAt]:
    """The place of every port by its reference "machine/port"."""
    return _ports_at(design.machines)


@kept(WHOLES)
def _ports_at(machines: tuple[Machine, ...]) -> Mapping[str, PortAt]:
    return {f"{machine.id}/{port.id}": PortAt(i, j) for i, machine in enumerate(machines) for j, port in enumerate(machine.ports)}
