"""What differs between two designs, counted: "3 runs changed, 1 added; collector changed"."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.design import Design
from engine.design.entries import entries
from engine.design.names import NAME_FIELD
from engine.units.words import counted

# The ducts first: they are what a design is about. Lists by what one of their rows is called, and the rest.
_ROWS = {"runs": "run", "machines": "machine", "gate_sets": "gate set", "stock": "stock"}
_REST = {"display": "units"}


def summary(before: Design, after: Design) -> str:
    """What an edit from `before` to `after` did, in a line; "nothing" where nothing differs."""
    lists = (_of_rows(one, getattr(before, field), getattr(after, field)) for field, one in _ROWS.items())
    rest = (
        f"{_REST.get(field, entry.key)} changed"
        for field, entry in entries(Design).items()
        if field not in _ROWS and getattr(before, field) != getattr(after, field)
    )
    return "; ".join(filter(None, (*lists, *rest))) or "nothing"


def _of_rows(one: str, before: tuple[Any, ...], after: tuple[Any, ...]) -> str:
    """What happened to the rows of a list, matched by name."""
    return ", ".join(f"{_counted(count, one) if first else count} {what}" for first, count, what in _counts(before, after))


def _counts(before: tuple[Any, ...], after: tuple[Any, ...]) -> Iterator[tuple[bool, int, str]]:
    """Whether it is the first, how many, and what happened to them."""
    old, new = ({getattr(row, NAME_FIELD[type(row)]): row for row in rows} for rows in (before, after))
    stayed = [name for name in old if name in new]
    moved = stayed != [name for name in new if name in old]
    counts = (
        (sum(old[name] != new[name] for name in stayed), "changed"), (len(new.keys() - old.keys()), "added"),
        (len(old.keys() - new.keys()), "removed"), (len(stayed) if moved else 0, "in another order"),
    )  # fmt: skip
    found = [(count, what) for count, what in counts if count]
    return ((number == 0, count, what) for number, (count, what) in enumerate(found))


def _counted(count: int, one: str) -> str:
    return counted(count, one, "stock" if one == "stock" else "")
