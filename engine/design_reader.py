"""From parsed TOML to a Design, by the table of entries: shape, units, ranges and words, every mistake noted."""

from __future__ import annotations

import re
from math import inf, isfinite
from typing import Any

from engine import units
from engine.consistency import MOST_GATE_SETS, MOST_RUNS, Mistake, nearest_word, row_path
from engine.design import PIECE_KEYS, Design, Piece
from engine.entries import Entry, entries
from engine.toml_lines import Path

FORMAT = 1
LONGEST_NAME = 80
LONGEST_NOTES = 4000
_CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\u200e\u200f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
_MOST_ROWS = {"run": MOST_RUNS, "gate_set": MOST_GATE_SETS}
_MOST = 2000
_NAMED_BY = ("id", "nominal", "name")
_MISSING = object()


class Reader:
    """Reads one parsed file; `found` gathers (path, mistake)."""

    def __init__(self, raw: dict[str, Any]) -> None:
        self.raw = raw
        self.found: list[tuple[Path, Mistake]] = []

    def design(self) -> Design | None:
        """The design, or None where the mistakes leave none."""
        raw = dict(self.raw)
        version = raw.pop("format", None)
        if type(version) is not int or version != FORMAT:
            found = "no format" if version is None else f"format = {_shown(version)}"
            self._wrong(("format",), "format", found, f"format = {FORMAT}")
        return self._item(Design, raw, (), "")

    def _wrong(self, path: Path, where: str, found: str, wanted: str, nearest: str = "") -> None:
        self.found.append((path, Mistake(where, found, wanted, nearest)))

    def _item(self, cls: type, raw: dict[str, Any], path: Path, where: str) -> Any:
        """A dataclass from a table, or None where one of its fields is wrong."""
        before, table, values = len(self.found), entries(cls), {}
        known = {entry.key for entry in table.values()}
        for key in raw:
            if key not in known:
                nearest = nearest_word(key, known)
                self._wrong((*path, key), _join(where, key), "a key that is not known", f"one of {', '.join(known_first(table))}", nearest)
        for name, entry in table.items():
            at, text = (*path, entry.key), _join(where, entry.key)
            if entry.key in raw:
                values[name] = self._value(entry, raw[entry.key], at, text)
            elif entry.required:
                self._wrong(path, text, "missing", _wanted(entry))
        return cls(**values) if len(self.found) == before else None

    def _value(self, entry: Entry, value: Any, path: Path, where: str) -> Any:
        match entry.kind:
            case "quantity":
                return self._quantity(entry, value, path, where)
            case "number" | "count":
                good = type(value) in ((int, float) if entry.kind == "number" else (int,))
                if not good or not _fits(entry, value):
                    return self._refuse(entry, value, path, where)
            case "flag":
                if type(value) is not bool:
                    return self._refuse(entry, value, path, where)
            case "choice":
                if value not in entry.choices if isinstance(value, str) else True:
                    nearest = nearest_word(value, entry.choices) if isinstance(value, str) else ""
                    self._wrong(path, where, _shown(value), _wanted(entry), nearest)
                    return None
            case "text" | "reference":
                return self._text(entry, value, path, where)
            case "names":
                return self._names(entry, value, path, where)
            case "table":
                if not isinstance(value, dict):
                    return self._refuse(entry, value, path, where)
                return self._item(entry.item, value, path, where)
            case "list":
                return self._rows(entry, value, path, where)
        return value

    def _refuse(self, entry: Entry, value: Any, path: Path, where: str) -> None:
        self._wrong(path, where, _shown(value), _wanted(entry))

    def _quantity(self, entry: Entry, value: Any, path: Path, where: str) -> units.Quantity | None:
        if not isinstance(value, str):
            found = f"{_shown(value)}, a bare number" if type(value) in (int, float) else _shown(value)
            self._wrong(path, where, found, _wanted(entry))
            return None
        if value in (words := dict(entry.words)):
            return units.Quantity(words[value], value)
        try:
            quantity = units.parse(value, entry.dimension)
        except units.UnitError as error:
            self._wrong(path, where, str(error).split("; wanted")[0], _wanted(entry))
            return None
        if not _fits(entry, quantity.si):
            self._wrong(path, where, f'"{value}"', _wanted(entry))
            return None
        return quantity

    def _text(self, entry: Entry, value: Any, path: Path, where: str) -> str | None:
        longest = LONGEST_NOTES if entry.key == "notes" else LONGEST_NAME
        if not isinstance(value, str):
            self._refuse(entry, value, path, where)
        elif _CONTROL.search(value.replace("\n", "").replace("\t", "") if entry.key == "notes" else value):
            self._wrong(path, where, "control characters", "plain text")
        elif len(value) > longest:
            self._wrong(path, where, f"{len(value)} characters", f"at most {longest}")
        elif not value.strip() and entry.required:
            self._wrong(path, where, "nothing", _wanted(entry))
        else:
            return value
        return None

    def _names(self, entry: Entry, value: Any, path: Path, where: str) -> tuple[str, ...] | None:
        if not isinstance(value, list):
            return self._refuse(entry, value, path, where)
        if len(value) > _MOST:
            self._wrong(path, where, f"{len(value)} names", f"at most {_MOST}")
            return None
        for i, name in enumerate(value):
            self._text(entry, name, (*path, i), where)
        return tuple(value)

    def _rows(self, entry: Entry, value: Any, path: Path, where: str) -> tuple[Any, ...] | None:
        if not isinstance(value, list) or not all(isinstance(row, dict) for row in value):
            return self._refuse(entry, value, path, where)
        most = _MOST_ROWS.get(entry.key, _MOST)
        if len(value) > most:
            self._wrong(path, where, f"{len(value)} of them", f"at most {most}")
            return None
        rows = []
        for i, row in enumerate(value):
            at, text = (*path, i), _row_text(where, row, i)
            rows.append(self._piece(row, at, text) if entry.item is Piece else self._item(entry.item, row, at, text))
        return tuple(rows)

    def _piece(self, row: dict[str, Any], path: Path, where: str) -> Any:
        kind = next((key for key in PIECE_KEYS if key in row), None)
        if kind is None:
            nearest = next(filter(None, (nearest_word(key, PIECE_KEYS) for key in row)), "")
            self._wrong(path, where, f"a piece with {', '.join(row) or 'nothing'}", f"one of {', '.join(PIECE_KEYS)}", nearest)
            return None
        return self._item(PIECE_KEYS[kind], row, path, where)


def known_first(table: dict[str, Entry]) -> list[str]:
    """The keys of a table, in file order."""
    return [entry.key for entry in table.values()]


def _join(where: str, key: str) -> str:
    key = key if re.fullmatch(r"[A-Za-z0-9_\-]{1,80}", key) else repr(key[:40])
    return f"{where}.{key}" if where else key


def _row_text(where: str, row: dict[str, Any], index: int) -> str:
    name = next((row[key] for key in _NAMED_BY if isinstance(row.get(key), str)), None)
    plain = name is not None and where.rpartition(".")[2] not in ("pieces", "curve") and not _CONTROL.search(name) and len(name) <= LONGEST_NAME
    return row_path(where, name) if plain else f"{where}[{index}]"


def _fits(entry: Entry, value: float) -> bool:
    if not isfinite(value):
        return False
    return (value > entry.low if entry.open_low else value >= entry.low) and value <= entry.high


def _shown(value: Any) -> str:
    """A found value in a message: short, without control characters."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (dict, list)):
        return "a table" if isinstance(value, dict) else "a list"
    text = f'"{value}"' if isinstance(value, str) else str(value)[:60]
    text = _CONTROL.sub("?", text)
    return text if len(text) <= 60 else text[:57] + '..."'


def _wanted(entry: Entry) -> str:
    match entry.kind:
        case "quantity":
            words = "".join(f', or "{word}"' for word, _ in entry.words)
            return f"{_article(entry.dimension)} with a unit ({units.unit_list(entry.dimension)}){_range(entry)}{words}"
        case "number" | "count":
            return f"a {'whole number' if entry.kind == 'count' else 'number'}{_range(entry)}: {entry.meaning}"
        case "flag":
            return "true or false"
        case "choice":
            return "one of " + ", ".join(f'"{choice}"' for choice in entry.choices)
        case "names":
            return f"a list of texts: {entry.meaning}"
        case "table":
            return f"a table: {entry.meaning}"
        case "list":
            return f"a list of tables: {entry.meaning}"
    return f"a text: {entry.meaning}"


def _article(dimension: str) -> str:
    return f"{'an' if dimension[0] in 'aeiou' else 'a'} {dimension}"


def _range(entry: Entry) -> str:
    """The limits in words, in a unit of the dimension."""

    def say(value: float) -> str:
        return units.show(value, entry.dimension, "metric") if entry.dimension else f"{value:g}"

    low, high = entry.low > -inf, entry.high < inf
    if low and high:
        return f", {'above' if entry.open_low else 'from'} {say(entry.low)} to {say(entry.high)}"
    if low:
        return f", {'above' if entry.open_low else 'at least'} {say(entry.low)}"
    return f", at most {say(entry.high)}" if high else ""




def place_of(design: Design, where: str) -> Path:
    """The path in the file of a key path as messages write it: run["main"].pieces[2].hose."""
    path: Path = ()
    item: Any = design
    for match in re.finditer(r'([A-Za-z_]+)(?:\["(.*?)"\](?=\.|$)|\[(\d+)\])?(?:\.|$)', where):
        key, name, index = match.groups()
        path = (*path, key)
        field = next((field for field, entry in entries(type(item)).items() if entry.key == key), None) if item is not None else None
        item = getattr(item, field) if field else None
        if name is not None and isinstance(item, tuple):
            index = next((i for i, row in enumerate(item) if name in (getattr(row, by, None) for by in _NAMED_BY)), None)
        if index is not None:
            path = (*path, int(index))
            item = item[int(index)] if isinstance(item, tuple) and int(index) < len(item) else None
    return path
