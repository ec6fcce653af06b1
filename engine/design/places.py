"""Where things stand in a design: a Place for every kind of thing that can be selected, changed or found fault with.

A Place holds indices, so it belongs to one design: after an edit the same
Place may be that of another thing, or of none.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import EllipsisType
from typing import Any, ClassVar

from engine.design.kept import WHOLES, kept
from engine.design.model import Design, Machine

Steps = tuple[str | int, ...]


class Place:
    """Where something stands; `steps` are the fields and indices that lead there from the design."""

    __slots__ = ()

    @property
    def steps(self) -> Steps:
        """Field names and indices from the design to the place, none for the design itself."""
        raise NotImplementedError

    @property
    def holder(self) -> Place:
        """What it is part of: the list of a row, the run of a joint; the design's own is the design."""
        return place_at(*self.steps[:-1])


@dataclass(frozen=True, slots=True)
class Table(Place):
    """A thing of which a design has one, by the name of its field; "" for the design itself."""

    field: str = ""

    @property
    def steps(self) -> Steps:
        """The field, if any."""
        return (self.field,) if self.field else ()


@dataclass(frozen=True, slots=True)
class Rows(Place):
    """A whole list: what holds it and the name of its field."""

    of: Place
    field: str

    @property
    def steps(self) -> Steps:
        """The way to what holds the list, and its field."""
        return (*self.of.steps, self.field)

    def row(self, index: int) -> Row:
        """The place of a row of this list."""
        return _KINDS[self.field](*(step for step in self.steps if isinstance(step, int)), index)


class Row(Place):
    """A row of a list. `way` says how its numbers, the last of them its index in the list, lead there."""

    __slots__ = ()
    way: ClassVar[tuple[str | EllipsisType, ...]] = ()
    __match_args__: ClassVar[tuple[str, ...]] = ()

    @property
    def steps(self) -> Steps:
        """The way with its numbers filled in."""
        numbers = iter(self.__match_args__)
        return tuple(step if isinstance(step, str) else getattr(self, next(numbers)) for step in self.way)

    @property
    def index(self) -> int:
        """Its index in its list."""
        return int(getattr(self, self.__match_args__[-1]))

    @property
    def rows(self) -> Rows:
        """The list it is in."""
        *holder, field, _ = self.steps
        return Rows(place_at(*holder), str(field))

    def beside(self, by: int) -> Row:
        """The row `by` rows further on in the same list."""
        return self.rows.row(self.index + by)


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
_ROW_KINDS = (
    RunAt, PieceAt, MachineAt, PortAt, StockAt, SizeAt, GateSetAt, ThrottleAt, CurvePointAt, LossAt, OutletPieceAt, CornerAt, ZoneAt,
)  # fmt: skip
_KINDS: dict[str, Callable[..., Row]] = {str(kind.way[-2]): kind for kind in _ROW_KINDS}

DESIGN = Table()
COLLECTOR, SITE, CONVEYING, LEAKAGE = map(Table, ("collector", "site", "conveying", "leakage"))
RUNS, MACHINES, STOCK, GATE_SETS = (Rows(DESIGN, field) for field in ("runs", "machines", "stock", "gate_sets"))
CURVE, LOSSES, OUTLET = (Rows(COLLECTOR, field) for field in ("curve", "losses", "outlet_pieces"))
ROOM, ZONES = Rows(SITE, "room"), Rows(SITE, "zones")
_TABLES = (COLLECTOR, SITE, CONVEYING, LEAKAGE)


def place_at(*steps: str | int) -> Place:
    """The place these fields and indices lead to. Raises KeyError where a design has no such list."""
    match steps:
        case ():
            return DESIGN
        case (str(field),) if Table(field) in _TABLES:
            return Table(field)
        case (*holder, rows, int(index)):
            return Rows(place_at(*holder), str(rows)).row(index)
    return Rows(place_at(*steps[:-1]), str(steps[-1]))


def whole(place: Place) -> Place:
    """The run or the machine a place belongs to; any other place itself."""
    match place:
        case RunAt(run) | PieceAt(run, _) | JointOf(run) | EndOf(run):
            return RunAt(run)
        case MachineAt(machine) | PortAt(machine, _):
            return MachineAt(machine)
    return place


def at(design: Design, place: Place) -> Any:
    """What stands at a place: a dataclass, or a tuple of them where the place is a whole list.

    Raises IndexError where nothing does.
    """
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
