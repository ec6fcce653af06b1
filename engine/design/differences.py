"""What one design has otherwise than another: value by value in a person's words, or counted in a line."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import SequenceMatcher
from typing import Any

from engine.design import PIECE_KEYS, Design, Piece, system
from engine.design.entries import Entry, entries
from engine.design.names import NAME_FIELD, label
from engine.design.places import DESIGN, Place, Rows, Table, Within
from engine.units import Quantity, show
from engine.units.words import counted
from engine.values import dataclass

# The ducts first: they are what a design is about. Lists by what one of their rows is called, and the rest.
_COUNTED = {"runs": "run", "machines": "machine", "gate_sets": "gate set", "stock": "stock"}
_OTHER_NAMES = {"display": "units"}
_List = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """One thing changed: `before` is "" where it was not there, `after` where it is gone.

    A value not given is told as what then holds, if that can be said.
    """

    what: str
    before: str
    after: str

    def __str__(self) -> str:
        match self.before, self.after:
            case "", after:
                return f"{self.what}: {after}, new"
            case before, "":
                return f"{self.what}: {before}, gone"
        return f"{self.what}: {self.before} -> {self.after}"


def changes(before: Design, after: Design) -> tuple[Change, ...]:
    """Every value that differs, in the order of the design file. Rows are matched by name, pieces by what they are."""
    return tuple(_of_table(_Sides(before, after), before, after, DESIGN, DESIGN))


@dataclass(frozen=True, slots=True)
class _Sides:
    """The two designs, for the names of places in them."""

    before: Design
    after: Design


def _of_table(sides: _Sides, old: Any, new: Any, there: Place, here: Place) -> Iterator[Change]:
    """What differs between two things that stand at `there` in the old design and at `here` in the new one."""
    for field, entry in entries(type(old)).items():
        was, now = getattr(old, field), getattr(new, field)
        if was == now:
            continue
        if entry.kind == "table":
            ways = (Within(there, field), Within(here, field)) if entry.inline else (Table(field), Table(field))
            yield from _of_table(sides, was, now, *ways)
        elif entry.kind == "list":
            yield from _of_rows(sides, entry, was, now, Rows(there, field), Rows(here, field))
        else:
            name, told = _called(sides.after, here), _beside(was, now, entry, system(sides.after))
            if told[0] != told[1]:
                yield Change(f"{name}, {_key(entry)}" if name else _key(entry), *told)


def _of_rows(sides: _Sides, entry: Entry, old: _List, new: _List, there: Rows, here: Rows) -> Iterator[Change]:
    for pair in _pairs(old, new):
        match pair:
            case int(i), None:
                yield Change(label(sides.before, there.row(i)), brief(old[i]), "")
            case None, int(j):
                yield Change(label(sides.after, here.row(j)), "", brief(new[j]))
            case int(i), int(j) if type(old[i]) is not type(new[j]):
                yield Change(label(sides.before, there.row(i)), *(f"{_kind(piece)} {brief(piece)}" for piece in (old[i], new[j])))
            case int(i), int(j) if old[i] != new[j]:
                yield from _of_table(sides, old[i], new[j], there.row(i), here.row(j))
    if _named(old, new):
        was, now = _stayed(old, new), _stayed(new, old)
        if was != now:
            yield Change(f"order of {entry.key}s", ", ".join(was), ", ".join(now))


def _kind(piece: Piece) -> str:
    return next(key for key, kind in PIECE_KEYS.items() if kind is type(piece))


def _named(old: _List, new: _List) -> bool:
    """Whether rows are told apart by their names; pieces of a run are not, though a gate has one."""
    kinds = {type(row) for row in (*old, *new)}
    return len(kinds) == 1 and kinds <= NAME_FIELD.keys()


def _name(row: Any) -> str:
    return str(getattr(row, NAME_FIELD[type(row)]))


def _stayed(rows: _List, others: _List) -> list[str]:
    """The names of these rows that are among the others' too, in their order."""
    known = set(map(_name, others))
    return [name for name in map(_name, rows) if name in known]


def _pairs(old: _List, new: _List) -> Iterator[tuple[int | None, int | None]]:
    """Which row of the old is which of the new; None where it has no partner."""
    if _named(old, new):
        was, now = ({_name(row): i for i, row in enumerate(rows)} for rows in (old, new))
        yield from ((i, now.get(name)) for name, i in was.items())
        yield from ((None, j) for name, j in now.items() if name not in was)
        return
    for _, a, b, c, d in SequenceMatcher(None, [repr(row) for row in old], [repr(row) for row in new], autojunk=False).get_opcodes():
        for step in range(max(b - a, d - c)):
            yield (a + step if a + step < b else None, c + step if c + step < d else None)


def _called(design: Design, place: Place) -> str:
    """Name of the thing at a place: "" for the design itself."""
    return "" if place == DESIGN else label(design, place)


def _key(entry: Entry) -> str:
    return entry.key.replace("_", " ")


def _beside(was: Any, now: Any, entry: Entry, units: str) -> tuple[str, str]:
    """Two values of an entry as text; quantities that were typed in different units in those shown."""
    if not entry.ranged and isinstance(was, Quantity) and isinstance(now, Quantity) and _unit(was) != _unit(now):
        return show(was.si, entry.dimension, units), show(now.si, entry.dimension, units)
    return _text(was) or entry.shown_default, _text(now) or entry.shown_default


def _unit(value: Quantity) -> str:
    """The letters of a quantity's text: its unit, or units."""
    return "".join(filter(str.isalpha, value.text))


def _text(value: Any) -> str:
    match value:
        case None | ():
            return ""
        case Quantity():
            return value.text
        case bool():
            return "yes" if value else "no"
        case tuple():
            return ", ".join(map(str, value))
        case float():
            return f"{value:g}"
    return str(value)


def brief(item: Any) -> str:
    """A thing in a few words: its values, its own name left out, and how many rows it holds."""
    parts = []
    for field, entry in entries(type(item)).items():
        value = getattr(item, field)
        if entry.kind == "list":
            if value:
                parts.append(f"{len(value)} {entry.key}")
        elif entry.kind != "table" and field != NAME_FIELD.get(type(item)) and (text := _text(value)):
            parts.append(text if entry.required or entry.kind == "choice" else f"{_key(entry)} {text}")
    return ", ".join(parts) or "as usual"


# ---- counted


def summary(before: Design, after: Design) -> str:
    """What an edit from `before` to `after` did, in a line; "nothing" where nothing differs."""
    lists = (_rows_counted(one, getattr(before, field), getattr(after, field)) for field, one in _COUNTED.items())
    rest = (
        f"{_OTHER_NAMES.get(field, _key(entry))} changed"
        for field, entry in entries(Design).items()
        if field not in _COUNTED and getattr(before, field) != getattr(after, field)
    )
    return "; ".join(filter(None, (*lists, *rest))) or "nothing"


def _rows_counted(one: str, before: _List, after: _List) -> str:
    """What happened to the rows of a list, matched by name: "2 runs changed, 1 added"."""
    old, new = ({_name(row): row for row in rows} for rows in (before, after))
    stayed = _stayed(before, after)
    moved = stayed != _stayed(after, before)
    counts = (
        (sum(old[name] != new[name] for name in stayed), "changed"), (len(new.keys() - old.keys()), "added"),
        (len(old.keys() - new.keys()), "removed"), (len(stayed) if moved else 0, "in another order"),
    )  # fmt: skip
    told = [(count, what) for count, what in counts if count]
    heads = [counted(count, one, "stock" if one == "stock" else "") if at == 0 else str(count) for at, (count, _) in enumerate(told)]
    return ", ".join(f"{head} {what}" for head, (_, what) in zip(heads, told, strict=True))
