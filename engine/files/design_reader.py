"""From parsed TOML to a Design, by the table of entries: shape, units, ranges and words, every mistake noted."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from typing import Any, Self

from engine import units
from engine.design import PIECE_KEYS, Design, Piece
from engine.design.entries import Entry, entries
from engine.design.limits import MOST_ROWS, fits, unfit_text, wanted_of
from engine.design.mistake import MOST_MISTAKES, Mistake, Path, mistake_at, nearest_word, quoted, shortened
from engine.units.ranges import ends, parse_range

FORMAT = 1
_WRONG = object()


class TypedNumber(float):
    """A number that keeps the text it was written as."""

    __slots__ = ("text",)
    text: str

    def __new__(cls, text: str | float) -> Self:
        """From the text of a TOML float."""
        number = super().__new__(cls, text)
        number.text = str(text)
        return number


class Reader:
    """Reads one parsed file into a draft of its design.

    `found` gathers the mistakes. `broken` names what could not be read, as
    "Run.joins"; in the draft that is None or empty.
    """

    def __init__(self, raw: dict[str, Any]) -> None:
        self.raw = raw
        self.found: list[Mistake] = []
        self.broken: set[str] = set()
        self.system = "imperial" if raw.get("display") == "imperial" else "metric"

    def design(self) -> Design | None:
        """The draft, a Design where nothing is found; None for another format, of which nothing else is known."""
        raw = dict(self.raw)
        version = raw.pop("format", None)
        if type(version) is not int or version != FORMAT:
            found = "missing" if version is None else _shown(version)
            self._wrong(("format",), found, f"format = {FORMAT}")
        return None if type(version) is int and version != FORMAT else self._item(Design, raw, ())

    def table(self, cls: type) -> Any:
        """The draft of another thing than a design: a `cls` from the whole file."""
        return self._item(cls, self.raw, ())

    def _wrong(self, path: Path, found: str, wanted: str, word: Any = None, known: Iterable[str] = ()) -> Any:
        """Note a mistake, with the nearest of the `known` words to `word`."""
        if len(self.found) <= MOST_MISTAKES:
            nearest = nearest_word(word, known) if isinstance(word, str) else ""
            self.found.append(mistake_at(self.raw, path, found, wanted, nearest))
        return _WRONG

    def _refuse(self, entry: Entry, value: Any, path: Path, problem: str = "") -> Any:
        return self._wrong(path, _shown(value) + (f", {problem}" if problem else ""), wanted_of(entry, self.system))

    def _item(self, cls: type, raw: dict[str, Any], path: Path) -> Any:
        """A dataclass from a table."""
        table = entries(cls)
        known = [entry.key for entry in table.values()]
        if raw.keys() - known:
            # It may stand for any key that is absent, or for some rows of a list.
            meant = (entry.key for entry in table.values() if entry.kind == "list" or entry.key not in raw)
            self.broken.update(f"{cls.__name__}.{key}" for key in meant)
        for key in raw:
            if key not in known:
                self._wrong((*path, key), "a key that is not known", f"one of {', '.join(known)}", key, known)
        return cls(**{name: self._field(cls, entry, raw, (*path, entry.key)) for name, entry in table.items()})

    def _field(self, cls: type, entry: Entry, raw: dict[str, Any], path: Path) -> Any:
        value = _WRONG
        if entry.key in raw:
            value = self._value(entry, raw[entry.key], path)
        elif entry.required:
            self._wrong(path, "missing", wanted_of(entry, self.system))
        else:
            return _empty(entry)
        if value is _WRONG:
            self.broken.add(f"{cls.__name__}.{entry.key}")
            return _empty(entry)
        return value

    def _value(self, entry: Entry, value: Any, path: Path) -> Any:
        match entry.kind:
            case "quantity":
                return self._quantity(entry, value, path)
            case "number" | "count":
                kinds = (int, float) if entry.kind == "number" else int
                good = isinstance(value, kinds) and not isinstance(value, bool) and fits(entry, value)
            case "day":
                good = type(value) is date
            case "flag":
                good = isinstance(value, bool)
            case "choice":
                good = isinstance(value, str) and value in entry.choices
                return value if good else self._wrong(path, _shown(value), wanted_of(entry, self.system), value, entry.choices)
            case "text" | "reference":
                return self._text(entry, value, path)
            case "names":
                return self._names(entry, value, path)
            case "table":
                return self._item(entry.item, value, path) if isinstance(value, dict) else self._refuse(entry, value, path)
            case "list":
                return self._rows(entry, value, path)
        return value if good else self._refuse(entry, value, path)

    def _quantity(self, entry: Entry, value: Any, path: Path) -> Any:
        if not isinstance(value, str):
            is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
            return self._refuse(entry, value, path, "a bare number" if is_number else "")
        if value in (words := dict(entry.words)):
            return units.Quantity(words[value], value)
        try:
            quantity = (parse_range if entry.ranged else units.parse)(value, entry.dimension)
        except units.UnitError as error:
            return self._refuse(entry, value, path, f"which {error.found}")
        return quantity if all(fits(entry, end) for end in ends(quantity)) else self._refuse(entry, value, path)

    def _text(self, entry: Entry, value: Any, path: Path) -> Any:
        if not isinstance(value, str):
            return self._refuse(entry, value, path)
        if found := unfit_text(entry, value):
            return self._wrong(path, *found)
        if entry.required and not value.strip():
            return self._refuse(entry, value, path)
        return value

    def _names(self, entry: Entry, value: Any, path: Path) -> Any:
        if not isinstance(value, list):
            return self._refuse(entry, value, path)
        if len(value) > MOST_ROWS:
            return self._wrong(path, f"{len(value)} names", f"at most {MOST_ROWS}")
        one = replace(entry, kind="reference", required=True)
        names = [self._text(one, name, (*path, i)) for i, name in enumerate(value)]
        return _WRONG if _WRONG in names else tuple(names)

    def _rows(self, entry: Entry, value: Any, path: Path) -> Any:
        if not isinstance(value, list):
            return self._refuse(entry, value, path)
        if len(value) > MOST_ROWS:
            return self._wrong(path, f"{len(value)} of them", f"at most {MOST_ROWS}")
        rows = [self._row(entry, row, (*path, i)) for i, row in enumerate(value)]
        return _WRONG if _WRONG in rows else tuple(rows)

    def _row(self, entry: Entry, row: Any, path: Path) -> Any:
        if not isinstance(row, dict):
            return self._wrong(path, _shown(row), f"a table of {_keys_of(entry.item)}")
        if entry.item is not Piece:
            return self._item(entry.item, row, path)
        for key, cls in PIECE_KEYS.items():
            if key in row:
                return self._item(cls, row, path)
        word = next(filter(lambda key: nearest_word(key, PIECE_KEYS), list(row)[:5]), None)
        keys = shortened(", ".join(row)) or "nothing"
        return self._wrong(path, f"a piece with {keys}", f"a piece with {_keys_of(Piece)}", word, PIECE_KEYS)


def _empty(entry: Entry) -> Any:
    """What a field holds where nothing was read."""
    if entry.kind == "table":
        return entry.item(**{name: _empty(inner) for name, inner in entries(entry.item).items()})
    return () if entry.kind in ("list", "names") else None


def _shown(value: Any) -> str:
    """A found value in a message."""
    match value:
        case str():
            return quoted(value)
        case bool():
            return "true" if value else "false"
        case dict():
            return "a table"
        case list():
            return "a list"
        case int():
            return str(value) if abs(value) < 10**20 else "a very long number"
        case TypedNumber():
            return shortened(value.text)
    return shortened(str(value))


def _keys_of(item: Any) -> str:
    keys = list(PIECE_KEYS) if item is Piece else [entry.key for entry in entries(item).values()]
    return ", ".join(keys)
