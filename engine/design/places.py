"""Where things stand in a design, what they are called and what refers to them.

A Place is a path of field names and indices: () is the design, ("collector",)
its collector, ("runs", 3, "pieces", 2) the third piece of the fourth run.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from engine.design import (
    PIECE_KEYS,
    CollectorLoss,
    Corner,
    CurvePoint,
    Design,
    Gate,
    GateSet,
    Machine,
    Port,
    Run,
    Stock,
    StockSize,
    Throttle,
    Zone,
    children_of,
)  # fmt: skip
from engine.design.entries import entries
from engine.files.design_reader import LONGEST_NAME

Place = tuple[str | int, ...]
# Old name -> new name, or None where the thing is gone, by what the name refers to (see `Entry.refers_to`).
Changes = dict[str, dict[str, str | None]]
# The field that names a thing among its like.
NAME_FIELD: dict[type, str] = {
    Run: "id", Machine: "id", Port: "id", Stock: "id", StockSize: "nominal", Gate: "name", GateSet: "name", CollectorLoss: "name",
    Zone: "name",
}  # fmt: skip


class EditError(ValueError):
    """An edit that cannot be done; the reason in one line."""


def at(design: Design, place: Place) -> Any:
    """What stands at a place: a dataclass, or a tuple of them where the place is a whole list."""
    item: Any = design
    for step in place:
        item = item[step] if isinstance(step, int) else getattr(item, step)
    return item


def put(item: Any, place: Place, new: Any) -> Any:
    """`item` with `new` at a place within it."""
    if not place:
        return new
    step, rest = place[0], place[1:]
    if isinstance(step, int):
        return (*item[:step], put(item[step], rest, new), *item[step + 1 :])
    return replace(item, **{step: put(getattr(item, step), rest, new)})


def run_place(design: Design, run_id: str) -> Place:
    """The place of a run of this id."""
    return ("runs", next(i for i, run in enumerate(design.runs) if run.id == run_id))


def beyond(design: Design, run_id: str) -> tuple[Run, ...]:
    """Every run on the far side of a run."""
    children, found, waiting = children_of(design), [], [run_id]
    while waiting:
        joined = children[waiting.pop()]
        found.extend(joined)
        waiting.extend(run.id for run in joined)
    return tuple(found)


# ---- names


def label(design: Design, place: Place) -> str:
    """A short name of a place for a title or a message: "elbow 2 of main", "planer/hood", "curve point 3"."""
    if not place:
        return design.name
    item = at(design, place)
    if place[-2:-1] == ("outlet_pieces",):
        return f"outlet piece {place[-1] + 1}"
    if place[-2:-1] == ("pieces",):
        like = [i for i, piece in enumerate(at(design, place[:-1])) if type(piece) is type(item)]
        kind = next("own loss" if key == "loss" else key for key, cls in PIECE_KEYS.items() if cls is type(item))
        number = f" {like.index(place[-1]) + 1}" if len(like) > 1 else ""
        return f"{kind}{number} of {at(design, place[:2]).id}"
    match item:
        case CurvePoint():
            return f"curve point {place[-1] + 1}"
        case Corner():
            return f"corner {place[-1] + 1}"
        case Port() | StockSize():
            return next(name for names in names_of(design, place).values() for name in names)
        case GateSet():
            return f"gate set {item.name}"
        case Throttle():
            return f"throttle of {item.gate}"
    return getattr(item, NAME_FIELD[type(item)]) if type(item) in NAME_FIELD else str(place[-1])


def names_taken(design: Design, place: Place, cls: type) -> set[str]:
    """The names a new `cls` in the list at `place` cannot have."""
    if cls is Gate:
        return {piece.name for run in design.runs for piece in run.pieces if isinstance(piece, Gate)}
    taken = {getattr(row, NAME_FIELD[cls]) for row in at(design, place)}
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


# ---- references


def names_of(design: Design, place: Place) -> dict[str, tuple[str, ...]]:
    """The names by which the rest of the design may refer to the thing at a place and to what it holds."""
    item = at(design, place)
    match item:
        case Run():
            gates = tuple(piece.name for piece in item.pieces if isinstance(piece, Gate))
            return {"collector or run": (item.id,), "gate": gates}
        case Gate():
            return {"gate": (item.name,)}
        case Machine():
            return {"machine": (item.id,), "port": tuple(f"{item.id}/{port.id}" for port in item.ports)}
        case Port():
            return {"port": (f"{at(design, place[:-2]).id}/{item.id}",)}
        case Stock():
            return {"stock size": tuple(f"{item.id}/{size.nominal}" for size in item.sizes)}
        case StockSize():
            return {"stock size": (f"{at(design, place[:-2]).id}/{item.nominal}",)}
    return {}


def with_references(item: Any, changes: Changes) -> Any:
    """`item` with every reference in it changed: renamed, or dropped where its new name is None.

    A row of a list that cannot do without what it refers to goes with it.
    """
    new: dict[str, Any] = {}
    for field, entry in entries(type(item)).items():
        value = getattr(item, field)
        if entry.kind == "list":
            rows = [with_references(row, changes) for row in value]
            if any(row is not old for row, old in zip(rows, value)):
                new[field] = tuple(row for row in rows if not _has_lost(row))
        elif entry.kind == "table":
            if (table := with_references(value, changes)) is not value:
                new[field] = table
        elif value and (names := changes.get(entry.refers_to)):
            if entry.kind != "names":
                changed = names.get(value, value)
            else:
                changed = tuple(kept for name in value if (kept := names.get(name, name)) is not None)
            if changed != value:
                new[field] = changed
    return replace(item, **new) if new else item


def _has_lost(item: Any) -> bool:
    """Whether a required reference of `item` is gone."""
    return any(entry.required and entry.refers_to and getattr(item, field) is None for field, entry in entries(type(item)).items())
