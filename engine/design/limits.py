"""What one entry of a design may hold: its range, its length and its letters, and how many rows a list has.

One gate for names and values: the reader of files asks it about what stands
in a file, `breaches` about a design however it was made. What a design may
hold its file can give back.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import inf, isfinite
from typing import Any

from engine import units
from engine.design.entries import Entry, entries
from engine.design.kept import ROWS, kept
from engine.design.meaning import system
from engine.design.mistake import Breach, Breaches, Path, one_of, quoted
from engine.design.model import ANY_PLACE, Design
from engine.design.names import LONGEST_NAME
from engine.units.ranges import ends

LONGEST_NOTES = 4000
LONGEST_REMARK = 400
_REMARKS = ("text", "reason", "note")
MOST_ROWS = 2000
# A reference made of two names: "machine/port", "stock/nominal".
_LONGEST_PAIR = 2 * LONGEST_NAME + 1
_PAIRS = ("stock size", "port", ANY_PLACE, "limit")
_JOINERS = "\u200c\u200d"  # invisible, but some languages spell with them
_UNFIT = ("Cc", "Cf", "Cs", "Zl", "Zp")


def fits(entry: Entry, value: float) -> bool:
    """Whether a number, or the SI value of a quantity, is within the range of its entry."""
    # Compared before it is made a float: a whole number may be too large for one.
    return entry.low <= value <= entry.high and not (entry.open_low and value == entry.low) and isfinite(value)


def unfit_text(entry: Entry, text: str) -> tuple[str, str] | None:
    """What is wrong with a text, and what is wanted instead; None where nothing is."""
    is_note = entry.key == "notes"
    if (unfit := _unfit_letter(text, "\n\t" if is_note else "")) is not None:
        return f"{quoted(text)}, with the control character U+{ord(unfit):04X}", "plain text"
    longest = LONGEST_NOTES if is_note else LONGEST_REMARK if entry.key in _REMARKS else _LONGEST_PAIR if entry.refers_to in _PAIRS else LONGEST_NAME
    return (f"{quoted(text)}, {len(text)} characters", f"at most {longest} characters") if len(text) > longest else None


def _unfit_letter(text: str, allowed: str) -> str | None:
    """The first character that a terminal would obey rather than show, or that breaks the line."""
    if text.isprintable():
        return None
    import unicodedata  # slow to load, and hardly ever wanted

    return next((char for char in text if unicodedata.category(char) in _UNFIT and char not in _JOINERS + allowed), None)


def wanted_of(entry: Entry, system: str) -> str:
    """What a key may hold, in words, limits in the units that `system` shows."""
    match entry.kind:
        case "quantity":
            words = "".join(f', or "{word}"' for word, _ in entry.words)
            span = ", or from one to another" if entry.ranged else ""
            return f"{_article(entry.dimension)} with a unit ({units.unit_list(entry.dimension)}){_range(entry, system)}{words}{span}"
        case "number" | "count":
            return f"a {'whole number' if entry.kind == 'count' else 'number'}{_range(entry, system)}: {entry.meaning}"
        case "day":
            return "a date without quotes, as 2026-03-01"
        case "flag":
            return "true or false"
        case "choice":
            return one_of(entry.choices)
        case "names":
            return f"a list of texts: {entry.meaning}"
        case "table":
            return f"a table: {entry.meaning}"
        case "list":
            return f"a list of tables: {entry.meaning}"
    return f"a text: {entry.meaning}"


def _range(entry: Entry, system: str) -> str:
    def say(value: float) -> str:
        return units.show(value, entry.dimension, system) if entry.dimension else f"{value:.10g}"

    least, most = entry.low > -inf, entry.high < inf
    low = f", {'more than' if entry.open_low else 'from' if most else 'at least'} {say(entry.low)}" if least else ""
    return low + (f"{' to' if least and not entry.open_low else ', at most'} {say(entry.high)}" if most else "")


def _article(dimension: str) -> str:
    return f"{'an' if dimension[0] in 'aeiou' else 'a'} {dimension}"


def breaches(design: Design) -> Breaches:
    """Every value of a design that its entry does not allow."""
    return iter(_in_item(design, system(design)))


@kept(ROWS)
def _in_item(item: Any, system: str) -> tuple[Breach, ...]:
    """What is wrong within an item, by the paths from there."""
    present = ((entry, getattr(item, name)) for name, entry in entries(type(item)).items())
    return tuple(breach for entry, value in present if value is not None and value != () for breach in _in_value(entry, value, system))


def _in_value(entry: Entry, value: Any, system: str) -> Breaches:
    path: Path = (entry.key,)
    match entry.kind:
        case "quantity":
            if not all(fits(entry, end) for end in ends(value)) and value.text not in dict(entry.words):
                yield Breach(path, quoted(value.text), wanted_of(entry, system))
        case "number" | "count":
            if not fits(entry, value):
                yield Breach(path, f"{value:.10g}", wanted_of(entry, system))
        case "text" | "reference":
            yield from _in_text(entry, value, path, system)
        case "table":
            yield from _below(path, _in_item(value, system))
        case "list":
            yield from _below(path, _in_rows(value, system))
        case "names":
            yield from _in_names(entry, value, path, system)


def _below(path: Path, found: Iterable[Breach]) -> Breaches:
    """What was found within an item, by the paths from where it is."""
    return (breach._replace(path=path + breach.path) for breach in found)


def _in_text(entry: Entry, value: str, path: Path, system: str) -> Breaches:
    if found := unfit_text(entry, value):
        yield Breach(path, *found)
    elif (entry.required or entry.kind == "names") and not value.strip():
        yield Breach(path, quoted(value), wanted_of(entry, system))


def _in_names(entry: Entry, names: tuple[str, ...], path: Path, system: str) -> Breaches:
    if len(names) > MOST_ROWS:
        yield _too_many(names, path)
        return
    for i, name in enumerate(names):
        yield from _in_text(entry, name, (*path, i), system)


@kept(ROWS)
def _in_rows(rows: tuple[Any, ...], system: str) -> tuple[Breach, ...]:
    """What is wrong within the rows of a list, by the paths from there."""
    if len(rows) > MOST_ROWS:
        return (_too_many(rows, ()),)
    return tuple([breach for i, row in enumerate(rows) if (found := _in_item(row, system)) for breach in _below((i,), found)])


def _too_many(rows: tuple[Any, ...], path: Path) -> Breach:
    return Breach(path, f"{len(rows)} of them", f"at most {MOST_ROWS}")
