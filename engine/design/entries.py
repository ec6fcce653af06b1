"""One table of what a design holds: every field of `engine.design` carries an Entry.

The entry drives the design file (reading, writing, messages), the session's
forms and their help, so a key, its unit, its limits and its meaning are
written once, beside the field they belong to.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import field
from math import inf
from typing import Any, Literal

from engine.units import Quantity
from engine.values import dataclass

Absent = Quantity | float | bool | str | Callable[[], float | str] | None
EntryKind = Literal["quantity", "number", "count", "text", "day", "flag", "choice", "reference", "names", "list", "table"]
# Limits of what must be more than nothing.
POSITIVE: Any = {"low": 0.0, "open_low": True}


@dataclass(frozen=True, slots=True)
class Entry:
    """What one key of a design may hold.

    `low` and `high` bound a quantity (SI) or a number, both included unless
    `open_low`. `words` are words accepted in place of a quantity, with the SI
    value each stands for. `absent` is what holds when the key is absent, or
    says it in words; a function gives it where the catalog has it. A
    `ranged` quantity may also be one "from" to "to". `refers_to` names what a
    reference points at: "stock size", "run", "port", "machine", "collector or
    run", "material", "pipe material" ...; a `lasting` one stays, and is no
    mistake, where what it names is gone. `item` is the dataclass of a nested
    table or of each row of a list; an `inline` table or the rows of an
    `inline` list stand in the file without headers, a row a line.
    """

    key: str
    kind: EntryKind
    meaning: str
    required: bool = False
    dimension: str = ""
    low: float = -inf
    high: float = inf
    open_low: bool = False
    choices: tuple[str, ...] = ()
    words: tuple[tuple[str, float], ...] = ()
    absent: Absent = None
    refers_to: str = ""
    ranged: bool = False
    lasting: bool = False
    item: Any = None
    inline: bool = False

    @property
    def shown_default(self) -> str:
        """What holds when the key is absent, in words; "" for nothing."""
        match self.absent() if callable(self.absent) else self.absent:
            case None:
                return ""
            case Quantity() as value:
                return value.text
            case bool() as value:
                return "yes" if value else "no"
            case float() as value:
                return f"{value:g}"
            case value:
                return str(value)


def _field(entry: Entry, default: Any = None) -> Any:
    metadata = {"entry": entry}
    if entry.required and default is None:
        return field(metadata=metadata)
    return field(default=default, metadata=metadata)


def quantity(key: str, dimension: str, meaning: str, **limits: Any) -> Any:
    """A field that holds a `units.Quantity` of `dimension`, or None when absent."""
    return _field(Entry(key, "quantity", meaning, dimension=dimension, **limits))


def number(key: str, meaning: str, **limits: Any) -> Any:
    """A field that holds a plain number, or None when absent."""
    return _field(Entry(key, "number", meaning, **limits))


def count(key: str, meaning: str, **limits: Any) -> Any:
    """A field that holds a whole number, or None when absent."""
    return _field(Entry(key, "count", meaning, **limits))


def text(key: str, meaning: str, *, default: str | None = None, **rest: Any) -> Any:
    """A field that holds text without control characters."""
    return _field(Entry(key, "text", meaning, **rest), default)


def day(key: str, meaning: str, *, required: bool = False) -> Any:
    """A field that holds a `datetime.date`, or None when absent."""
    return _field(Entry(key, "day", meaning, required=required))


def flag(key: str, meaning: str, **rest: Any) -> Any:
    """A field that holds true or false, or None when absent."""
    return _field(Entry(key, "flag", meaning, **rest))


def choice(key: str, choices: tuple[str, ...], meaning: str, *, default: str | None = None, **rest: Any) -> Any:
    """A field that holds one of `choices`."""
    return _field(Entry(key, "choice", meaning, choices=choices, **rest), default)


def reference(key: str, refers_to: str, meaning: str, *, default: str | None = None, **rest: Any) -> Any:
    """A field that names another thing of the design or of the catalog."""
    return _field(Entry(key, "reference", meaning, refers_to=refers_to, **rest), default)


def names(key: str, refers_to: str, meaning: str, **rest: Any) -> Any:
    """A field that lists the names of other things of the design."""
    return _field(Entry(key, "names", meaning, refers_to=refers_to, **rest), ())


def rows(key: str, item: Any, meaning: str, *, inline: bool = False) -> Any:
    """A field that holds a tuple of `item`."""
    return _field(Entry(key, "list", meaning, item=item, inline=inline), ())


def table(key: str, item: Any, meaning: str, *, required: bool = False, inline: bool = False) -> Any:
    """A field that holds one `item`, made from its defaults when the table is absent and not required."""
    metadata = {"entry": Entry(key, "table", meaning, required=required, item=item, inline=inline)}
    return field(metadata=metadata) if required else field(default_factory=item, metadata=metadata)


_KNOWN: dict[type, dict[str, Entry]] = {}


def entries(cls: type) -> dict[str, Entry]:
    """Field name -> Entry of a dataclass of `engine.design`, in file order."""
    if cls not in _KNOWN:
        _KNOWN[cls] = {f.name: f.metadata["entry"] for f in dataclasses.fields(cls) if "entry" in f.metadata}
    return _KNOWN[cls]


def like(cls: type, name: str, **other: Any) -> Any:
    """A field with the entry that the field `name` of another dataclass has, but for what is given."""
    entry = dataclasses.replace(entries(cls)[name], **other)
    return _field(entry, () if entry.kind in ("list", "names") else None)
