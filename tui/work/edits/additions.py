"""What can be added where: pieces to a run, rows to every other list, from ordinary values or from the catalog."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from typing import Any

from engine import catalog, edits
from engine.catalog.kinds import usual_first
from engine.design import Collector, CollectorChoice, CurvePoint, Design, Machine, Run, Stock, defaults, system
from engine.design.from_catalog import plain_name, ports_of_kind, stock_of
from engine.design.places import (
    MACHINES,
    OUTLET,
    ROOM,
    STOCK,
    ChoiceAt,
    EndOf,
    GateSetAt,
    MachineAt,
    OfRun,
    OutletPieceAt,
    PieceAt,
    Place,
    Row,
    Rows,
    RunAt,
    StockAt,
    Table,
)
from engine.units import make
from engine.values import dataclass
from tui.work.document import Document

# Key, kind and label of every piece that can be added.
_PIECES = (
    ("s", "straight", "straight"), ("e", "elbow", "elbow"), ("h", "hose", "hose"), ("g", "gate", "gate"),
    ("c", "cleanout", "cleanout"), ("l", "loss", "own loss"),
)  # fmt: skip
# List -> key and label of a row added to it.
_ROWS = {
    "machines": ("m", "machine"), "ports": ("p", "port"), "stock": ("s", "pipe or hose"), "sizes": ("z", "size"),
    "curve": ("p", "curve point"), "losses": ("l", "loss"), "gate_sets": ("g", "gate set"), "runs": ("r", "run"),
    "throttle": ("t", "throttled gate"), "room": ("c", "corner"), "zones": ("z", "post, door or clear place"),
    "fitting_lengths": ("f", "length of a fitting"), "collector_choices": ("c", "collector to choose from"),
    "accepted": ("a", "accepted finding"), "limits": ("l", "limit of the shop's own"), "test_points": ("t", "test point"),
    "readings": ("r", "reading"), "log": ("e", "log entry"), "left_over": ("l", "left over part"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Offer:
    """One thing to add; `make` gives it, or raises edits.EditError where none fits. `caution` is what to know once it is there.

    `about` says more of it and where it comes from; offers of one `group` stand together.
    """

    name: str
    make: Callable[[], Any]
    remark: str = ""
    caution: str = ""
    about: str = ""
    group: str = ""


@dataclass(frozen=True, slots=True)
class Addition:
    """A kind of thing to add at `place`, asked for by `key`; several offers are to be chosen from.

    Where `place` is a whole list, what is offered becomes that list.
    """

    key: str
    label: str
    place: Row | Rows
    offers: tuple[Offer, ...]


def additions(document: Document, *, before: bool = False) -> tuple[Addition, ...]:
    """What can be added after the selection, or inserted before it."""
    place, run = document.selection, document.selected_run
    if place == OUTLET or isinstance(place, OutletPieceAt):
        return tuple(_outlet(document.design, place, before))
    if isinstance(place, OfRun) and run is not None:
        return tuple(_pieces(document.design, run, _piece_place(place, run, before)))
    held = () if before else tuple(_held(document.design, place))
    return (*_row(document.design, place, before), *held)


def _pieces(design: Design, run: Run, place: PieceAt) -> Iterator[Addition]:
    for key, kind, label in _PIECES:
        yield Addition(key, label, place, (Offer(label, partial(edits.new_piece, kind, design, run)),))


def _piece_place(place: OfRun, run: Run, before: bool) -> PieceAt:
    """Where a piece goes: behind or before the selected one, at the collector end of a run, or at its far end."""
    if isinstance(place, PieceAt):
        return PieceAt(place.run, place.piece + (not before))
    return PieceAt(place.run, len(run.pieces) if isinstance(place, EndOf) else 0)


def _outlet(design: Design, place: Place, before: bool) -> Iterator[Addition]:
    """Pieces of the duct that leads outside, beside the selected one or at its end."""
    count = len(design.collector.outlet_pieces)
    index = place.piece + (not before) if isinstance(place, OutletPieceAt) else count
    as_run = Run(id="outlet", joins="collector", bore=design.collector.outlet, material=defaults.PIPE_MATERIAL)
    for key, kind, label in _PIECES:
        if kind in ("straight", "elbow", "loss"):
            yield Addition(key, label, OutletPieceAt(index), (Offer(label, partial(edits.new_piece, kind, design, as_run)),))


def _row(design: Design, place: Place, before: bool) -> Iterator[Addition]:
    """A row beside the selected one, or at the end of the list whose heading is selected."""
    if isinstance(place, Row):
        yield from _rows(design, place.beside(not before))
    elif isinstance(place, Rows) and not before:
        yield from _rows(design, place.row(len(edits.at(design, place))))


def _held(design: Design, place: Place) -> Iterator[Addition]:
    """A row at the end of each list that the selection holds; the first run where the collector has none."""
    match place:
        case Table("collector"):
            yield from () if design.runs else _rows(design, RunAt(0))
            lists: tuple[str, ...] = ("curve", "losses")
        case MachineAt():
            lists = ("ports",)
        case StockAt():
            lists = ("sizes", "fitting_lengths")
        case ChoiceAt():
            lists = ("curve", "losses")
        case Table(""):
            lists = ("collector_choices", "accepted", "limits", "test_points", "readings", "log")
        case GateSetAt() if design.gate_sets:
            lists = ("throttle",)
        case Table("site"):
            lists = ("room", "zones")
        case _:
            lists = ()
    for name in lists:
        rows = Rows(place, name)
        yield from _rows(design, rows.row(len(edits.at(design, rows))))


def _rows(design: Design, place: Row) -> Iterator[Addition]:
    name = place.rows.field
    key, label = _ROWS[name]
    if name == "curve" and not edits.at(design, place.rows):
        holder = edits.at(design, place.rows.of)
        first = Offer("curve", lambda: _first_curve(design, holder), caution="a straight line, and no known curve: put the collector's own points in")
        yield Addition("p", "curve from the free-air flow", place.rows, (first,))
        return
    if name == "room" and not design.site.room:
        yield Addition("w", "walls around the machines", ROOM, (Offer("walls", lambda: edits.room_around(design)),))
        return
    yield Addition(key, label, place, (Offer(label, lambda: edits.new_item(design, place)),))
    if name in _CATALOG:
        yield Addition("k", f"{label} from the catalog", place, _CATALOG[name](design))


def _first_curve(design: Design, collector: Collector | CollectorChoice) -> tuple[CurvePoint, CurvePoint]:
    """Two points to start a curve with: the largest suction without flow, and the free-air flow without suction."""
    if collector.free_air is None or collector.max_suction is None:
        raise edits.EditError("a curve starts from the free-air flow and the largest suction: give both first")
    still, free = (make(0.0, dimension, system(design)) for dimension in ("flow", "pressure"))
    return CurvePoint(flow=still, pressure=collector.max_suction), CurvePoint(flow=collector.free_air, pressure=free)


def _stocks(design: Design) -> tuple[Offer, ...]:
    def stock(family: catalog.PipeFamily) -> Stock:
        return replace(stock_of(family), id=edits.fresh_name(family.id, edits.names_taken(design, STOCK, Stock)))

    return tuple(
        Offer(family.name, partial(stock, family), _sizes(family), about=about(family), group=family.system)
        for family in usual_first(catalog.pipe_families(), system(design))
    )


def _sizes(family: catalog.PipeFamily) -> str:
    names = [size.nominal for size in family.sizes]
    return f"{names[0]} to {names[-1]}"


def about(row: catalog.PipeFamily | catalog.MachineKind) -> str:
    """Where a row of the catalog comes from, and what to mind."""
    return "; ".join(filter(None, (f"{row.source} ({row.provenance})", row.note)))


def _machines(design: Design) -> tuple[Offer, ...]:
    def machine(kind: catalog.MachineKind) -> Machine:
        return Machine(id=edits.fresh_name(plain_name(kind), edits.names_taken(design, MACHINES, Machine)), ports=ports_of_kind(kind))

    return tuple(
        Offer(kind.name, partial(machine, kind), flows(kind), about=about(kind), group=kind.system)
        for kind in usual_first(catalog.machine_kinds(), system(design))
    )


def flows(kind: catalog.MachineKind) -> str:
    """Bores and flows of a kind's ports, and whether they are uncertain."""
    ports = ", ".join(f"{port.bore.text} {port.needs.text}" for port in kind.ports)
    return f"{ports}{' (uncertain)' if kind.uncertain else ''}"


_CATALOG: dict[str, Callable[[Design], tuple[Offer, ...]]] = {"stock": _stocks, "machines": _machines}
