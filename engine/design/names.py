"""What things are called in a design, and what refers to them by those names."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from string import ascii_lowercase
from typing import Any

from engine.design.entries import entries
from engine.design.kept import ROWS, kept
from engine.design.model import (
    ANY_PLACE,
    PIECE_KEYS,
    CollectorChoice,
    CollectorLoss,
    Design,
    Gate,
    GateSet,
    GaugePoint,
    Machine,
    Port,
    Run,
    Stock,
    StockSize,
    Zone,
)  # fmt: skip
from engine.design.places import (
    COLLECTOR,
    DESIGN,
    AcceptedAt,
    ChoicePointAt,
    CornerAt,
    CurvePointAt,
    FittingLengthAt,
    GateSetAt,
    LeftOverAt,
    LogEntryAt,
    MachineAt,
    OutletPieceAt,
    OwnLimitAt,
    PieceAt,
    Place,
    PortAt,
    ReadingAt,
    Row,
    Rows,
    RunAt,
    SizeAt,
    ThrottleAt,
    TunedPortAt,
    Within,
    at,
    ports_at,
    runs_at,
)

LONGEST_NAME = 80
# Old name -> new name, or None where the thing is gone, by what the name refers to (see `Entry.refers_to`).
Changes = dict[str, dict[str, str | None]]
# The field that names a thing among its like.
NAME_FIELD: dict[type, str] = {
    Run: "id", Machine: "id", Port: "id", Stock: "id", StockSize: "nominal", Gate: "name", GateSet: "name", CollectorLoss: "name",
    Zone: "name", GaugePoint: "id", CollectorChoice: "id",
}  # fmt: skip


# What rows without a name of their own are called.
_TOLD: dict[type[Place], str] = {
    OutletPieceAt: "outlet piece {number}", CurvePointAt: "curve point {number}", ChoicePointAt: "curve point {number}",
    CornerAt: "corner {number}", GateSetAt: "gate set {item.name}", ThrottleAt: "throttle of {item.gate}", TunedPortAt: "{item.port} tuned",
    FittingLengthAt: "length of {item.of}", AcceptedAt: "{item.finding} accepted", OwnLimitAt: "limit {item.of}",
    ReadingAt: "reading {number}", LogEntryAt: "log entry {number}",
    LeftOverAt: "left over {number}",
}  # fmt: skip


def label(design: Design, place: Place) -> str:
    """A short name of a place for a title or a message: "elbow 2 of main", "planer/hood", "curve point 3"."""
    match place:
        case RunAt(run):
            return design.runs[run].id
        case PieceAt(run, index):
            return _piece_label(design.runs[run], index)
    item = at(design, place)
    if told := _TOLD.get(type(place)):
        return told.format(number=place.index + 1 if isinstance(place, Row) else "", item=item)
    match place:
        case Within(of, field):
            return f"{label(design, of)} {field}"
        case PortAt() | SizeAt():
            return next(name for names in names_of(design, place).values() for name in names)
    if place == DESIGN:
        return design.name
    return str(getattr(item, NAME_FIELD[type(item)]) if type(item) in NAME_FIELD else place.steps[-1])


@kept(ROWS)
def _piece_label(run: Run, index: int) -> str:
    """A short name of a piece of a run."""
    kind = type(run.pieces[index])
    like = [i for i, piece in enumerate(run.pieces) if type(piece) is kind]
    name = next("own loss" if key == "loss" else key for key, cls in PIECE_KEYS.items() if cls is kind)
    number = f" {like.index(index) + 1}" if len(like) > 1 else ""
    return f"{name}{number} of {run.id}"


def names_taken(design: Design, rows: Rows, cls: type) -> set[str]:
    """The names a new `cls` in a list cannot have."""
    if cls is Gate:
        return {piece.name for run in design.runs for piece in run.pieces if isinstance(piece, Gate)}
    taken = {getattr(row, NAME_FIELD[cls]) for row in at(design, rows)}
    return taken | {"collector"} if cls is Run else taken


def fresh_name(wanted: str, taken: set[str]) -> str:
    """`wanted`, cut to the longest name, or where that is taken with the next free number: "main", "main 2", "main 3"."""
    wanted = wanted[:LONGEST_NAME].rstrip()
    if wanted not in taken:
        return wanted
    stem = re.sub(r" [0-9]+$", "", wanted)
    number = 2
    while (name := f"{stem[: LONGEST_NAME - 1 - len(str(number))]} {number}") in taken:
        number += 1
    return name


def name_beyond(name: str, taken: set[str]) -> str:
    """A name for the outer half of a run that is split, in order: the next number, or where that is taken a letter: "main 2 b"."""
    fresh, stem = fresh_name(name, taken), re.sub(r" [0-9]+$", "", name)
    number = int(name[len(stem) :] or 1)
    lettered = (f"{name} {letter}" for letter in ascii_lowercase[1:])
    if fresh == f"{stem} {number + 1}" or len(name) + 2 > LONGEST_NAME:
        return fresh
    return next((free for free in lettered if free not in taken), fresh)


# ---- references


def names_of(design: Design, place: Place) -> dict[str, tuple[str, ...]]:
    """The names by which the rest of the design may refer to the thing at a place and to what it holds."""
    match item := at(design, place):
        case Run():
            gates = tuple(piece.name for piece in item.pieces if isinstance(piece, Gate))
            return {"collector or run": (item.id,), "gate": gates}
        case Gate():
            return {"gate": (item.name,)}
        case Machine():
            return {"machine": (item.id,), "port": tuple(f"{item.id}/{port.id}" for port in item.ports)}
        case Port() if isinstance(place, PortAt):
            return {"port": (f"{design.machines[place.machine].id}/{item.id}",)}
        case Stock():
            return {"stock size": tuple(f"{item.id}/{size.nominal}" for size in item.sizes)}
        case GateSet():
            return {"gate set": (item.name,)}
        case GaugePoint():
            return {"test point": (item.id,)}
        case StockSize() if isinstance(place, SizeAt):
            return {"stock size": (f"{design.stock[place.stock].id}/{item.nominal}",)}
    return {}


def with_references(design: Design, changes: Changes) -> Design:
    """The design with every reference in it changed: renamed, or dropped where its new name is None.

    A row of a list that cannot do without what it refers to goes with it; a
    lasting reference keeps the name of what is gone.
    """
    changed: Design = _with_references(design, changes | {ANY_PLACE: _of_any_place(design, changes)})
    return changed


def places_by_name(design: Design) -> dict[str, Place]:
    """What a reference to any place may name: the collector or a run, else a machine, a port or a gate."""
    found: dict[str, Place] = {}
    for places in _places_by_kind(design).values():
        found = {**places, **found}
    return found


def _places_by_kind(design: Design) -> dict[str, Mapping[str, Place]]:
    """The places a reference to any place may name by what else refers to them, those first that are meant first."""
    gates = {piece.name: PieceAt(i, j) for i, run in enumerate(design.runs) for j, piece in enumerate(run.pieces) if isinstance(piece, Gate)}
    machines = {machine.id: MachineAt(i) for i, machine in enumerate(design.machines)}
    return {"collector or run": {"collector": COLLECTOR, **runs_at(design)}, "machine": machines, "port": ports_at(design), "gate": gates}


def _of_any_place(design: Design, changes: Changes) -> dict[str, str | None]:
    """The changes of references that may name any place, in a design that has the new names already."""
    found: dict[str, str | None] = {}
    meant: set[str] = set()
    for kind, places in _places_by_kind(design).items():
        meant |= places.keys()
        found |= {old: new for old, new in changes.get(kind, {}).items() if old not in meant | found.keys()}
    return found


def _with_references(item: Any, changes: Changes) -> Any:
    new: dict[str, Any] = {}
    for field, entry in entries(type(item)).items():
        value = getattr(item, field)
        if entry.kind == "list":
            rows = [_with_references(row, changes) for row in value]
            if any(row is not old for row, old in zip(rows, value, strict=True)):
                new[field] = tuple(row for row in rows if not _has_lost(row))
        elif entry.kind == "table":
            if (table := _with_references(value, changes)) is not value:
                new[field] = table
        elif value and (names := changes.get(entry.refers_to)):
            changed: Any
            if entry.lasting:
                changed = names.get(value) or value
            elif entry.kind != "names":
                changed = names.get(value, value)
            else:
                changed = tuple(kept for name in value if (kept := names.get(name, name)) is not None)
            if changed != value:
                new[field] = changed
    return replace(item, **new) if new else item


def _has_lost(item: Any) -> bool:
    """Whether a required reference of `item` is gone."""
    return any(entry.required and entry.refers_to and getattr(item, field) is None for field, entry in entries(type(item)).items())
