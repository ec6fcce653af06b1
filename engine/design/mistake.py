"""A mistake in a design and how it is told: in one line, short and free of control characters."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import field
from heapq import nlargest
from typing import Any, NamedTuple

from engine.design.entries import entries
from engine.units.printable import printable
from engine.values import dataclass

# Keys of the file and indices: ("run", 0, "pieces", 2, "hose").
Path = tuple[str | int, ...]

MOST_MISTAKES = 100
LONGEST_LINE = 300
_LONGEST_VALUE = 60
_LONGEST_KEY = 40
# 6, 4.5, 4 1/2
_NUMBER = re.compile(r"\s*(\d{1,9}(?:[.,]\d{1,9})?)(?:\s+(\d{1,3})/(\d{1,3}))?")
_NAMED_BY = ("id", "nominal", "name")


@dataclass(frozen=True, slots=True)
class Mistake:
    """One thing wrong: where (a key path), what was found, what is wanted, the nearest known word, the line, and the file if not the design's.

    `path` is `where` as keys and indices, for finding the line.
    """

    where: str
    found: str
    wanted: str
    nearest: str = ""
    line: int | None = None
    file: str = ""
    path: Path = field(default=(), compare=False, repr=False)

    def __str__(self) -> str:
        place = ", ".join(filter(None, (self.file, f"line {self.line}" if self.line else "")))
        place = f"{place}: " if place else ""
        where = f"{self.where}: " if self.where else ""
        hint = f" (nearest: {shortened(self.nearest)})" if self.nearest else ""
        return shortened(f"{place}{where}{self.found}; wanted: {self.wanted}{hint}", LONGEST_LINE)


class Breach(NamedTuple):
    """A mistake in a design of known shape, before its place is put in words."""

    path: Path
    found: str
    wanted: str
    nearest: str = ""


Breaches = Iterator[Breach]


def unique(rows: Path, key: str, names: Iterable[str | None]) -> Breaches:
    """The rows whose name an earlier one has already."""
    seen: set[str | None] = {None}
    for i, name in enumerate(names):
        if name in seen and name is not None:
            yield Breach((*rows, i, key), f"{quoted(name)}, which an earlier {rows[-1]} has already", "a name of its own for each")
        seen.add(name)


def mistake_at(root: Any, path: Path, found: str, wanted: str, nearest: str = "") -> Mistake:
    """A mistake at a path within `root`, a design or the parsed TOML of one."""
    return Mistake(key_path(root, path), found, wanted, nearest, path=path)


def key_path(root: Any, path: Path) -> str:
    """A path as messages write it, rows by their names where they have one: run["planer drop"].pieces[2].hose."""
    text, item = "", root
    for step in path:
        if isinstance(step, str):
            key = step if re.fullmatch(rf"[A-Za-z0-9_-]{{1,{_LONGEST_KEY}}}", step) else quoted(step, _LONGEST_KEY)
            text = f"{text}.{key}" if text else key
            item = _value(item, step)
        else:
            item = item[step] if isinstance(item, (list, tuple)) and step < len(item) else None
            name = "" if text.endswith("pieces") else _name(item)
            text = row_path(text, name) if name else f"{text}[{step}]"
    return text


def row_path(key: str, name: str) -> str:
    """Key path of a named row of a list: run["main"]."""
    return f"{key}[{quoted(name, _LONGEST_KEY)}]"


def _value(item: Any, key: str) -> Any:
    if isinstance(item, dict):
        return item.get(key)
    if not hasattr(item, "__dataclass_fields__"):
        return None
    return next((getattr(item, name) for name, entry in entries(type(item)).items() if entry.key == key), None)


def _name(item: Any) -> str:
    values = (item.get(by) if isinstance(item, dict) else getattr(item, by, None) for by in _NAMED_BY)
    return next((value for value in values if isinstance(value, str)), "")


def quoted(text: str, longest: int = _LONGEST_VALUE) -> str:
    """Text from outside in double quotes, safe to show."""
    return '"' + shortened(text, longest).replace('"', '\\"') + '"'


def one_of(words: Iterable[str]) -> str:
    """The words a key may hold, as messages list them."""
    return "one of " + ", ".join(f'"{word}"' for word in words)


def shortened(text: str, longest: int = _LONGEST_VALUE) -> str:
    """Text in one line of at most `longest` characters, "?" for what cannot be printed."""
    text = text if len(text) <= longest else text[: longest - 3] + "..."
    return printable(text)


def nearest_size(name: str, known: Iterable[str]) -> str:
    """The known "stock/nominal" nearest to one: of the stock nearest by name, or of all, the size nearest by number, else by spelling.

    A number with a figure too few or too many is one misspelt, not one far away.
    """
    stock, _, nominal = name.partition("/") if "/" in name else ("", "", name)
    sizes = {other: other.partition("/") for other in known}
    stocks = {size[0] for size in sizes.values()}
    stock = stock if stock in stocks else nearest_word(stock, stocks)
    of_stock = {other: size[2] for other, size in sizes.items() if size[0] == stock or not stock}
    wanted = _number(nominal)

    def distance(other: str) -> tuple[bool, float, str]:
        held = of_stock[other]
        return not (held.startswith(nominal) or nominal.startswith(held)), abs((_number(held) or 0.0) - (wanted or 0.0)), other

    numbered = [other for other, held in of_stock.items() if wanted and _number(held)]
    return min(numbered, key=distance) if numbered else nearest_word(name, of_stock)


def _number(nominal: str) -> float | None:
    """The number a nominal size begins with, as "4 1/2 in" does with 4.5."""
    found = _NUMBER.match(nominal)
    if not found:
        return None
    whole, top, bottom = (float(part.replace(",", ".")) if part else 0.0 for part in found.groups())
    return whole + (top / bottom if bottom else 0.0)


def nearest_word(word: str, known: Iterable[str]) -> str:
    """The known word nearest to `word`, whatever their case, or nothing."""
    if len(word) > 2 * _LONGEST_VALUE:
        return ""
    from difflib import SequenceMatcher, get_close_matches  # not before something is misspelt

    spelled = {other.casefold(): other for other in known}
    matcher = SequenceMatcher(b=word.casefold())

    def at_best(other: str) -> float:
        matcher.set_seq1(other)
        return matcher.quick_ratio()

    # The exact ratio is slow: it is for the most promising only.
    promising = nlargest(10, spelled, key=at_best)
    return next((spelled[found] for found in get_close_matches(word.casefold(), promising, n=1, cutoff=0.51)), "")
