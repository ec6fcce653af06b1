"""Quantities as the trade writes them: text in, SI out (`engine.units.shown` goes the other way).

Pint decides what a unit is worth (see `engine.units.spellings`); the grammar in
front of it is our own, since there `12ft 6in` is a product and `4 1/2 in` is
2 in: numbers with a point or a comma, fractions, feet with inches.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

from engine.units.dimensions import TABLE, measures_of, unit_name, wanted_text
from engine.units.printable import printable
from engine.units.spellings import unit_of
from engine.values import dataclass

_LONGEST = 60
_LARGEST = 1e12
_SMALLEST = 1e-12


class UnitError(ValueError):
    """Text that is no quantity of the dimension wanted; str() is one line that says what was found and what is wanted.

    `found` is what is the matter with the text, to be read after it ("has no
    unit"); `wanted` names the dimension and its units.
    """

    def __init__(self, typed: str, found: str, wanted: str, detail: str = "") -> None:
        super().__init__(f"{_quoted(typed)} {found}{detail}; wanted {wanted}")
        self.found = found
        self.wanted = wanted


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in SI units and the text it was given as."""

    si: float
    text: str


_FRACTION = r"(?:[0-9]+(?: | ?- ?))?[0-9]+ ?/ ?[0-9]+"
DECIMAL = r"(?=[.,]?[0-9])[0-9.,]+(?:e[+-]?[0-9]+)?"
_NUMBER = rf"{_FRACTION}(?![0-9.,])|{DECIMAL}"
_PLAIN = re.compile(rf"([+-]?) ?({_NUMBER})(?![0-9.,]) ?([^0-9 ].*)?")
FEET_SIGN = r"(?:'|ft\.?|foot|feet)"
INCH_SIGN = r"(?:in\.?|inch|inches|\"|'')"
_FEET = re.compile(
    rf"([+-]?) ?({_NUMBER}) ?"
    rf"(?:{FEET_SIGN} ?-? ?({_NUMBER}) ?{INCH_SIGN}"  # 12ft 6in, 12'-6"
    rf"|(?:' ?-? ?|{FEET_SIGN}(?: | ?- ?))({_NUMBER}))"  # 1'6, 12ft 6; but 5 ft2 is an area
)
_READ_AS = {
    **{ord(sign): "-" for sign in "−‐‑–"}, **{ord(mark): "'" for mark in "′’‘"}, **{ord(mark): '"' for mark in "″”“"},
    ord("º"): "°", ord("²"): "2", ord("³"): "3", ord("µ"): "u", ord("μ"): "u", ord("⁄"): "/",
    ord("½"): " 1/2", ord("¼"): " 1/4", ord("¾"): " 3/4", ord("⅛"): " 1/8", ord("⅜"): " 3/8", ord("⅝"): " 5/8", ord("⅞"): " 7/8",
}  # fmt: skip


@lru_cache(maxsize=4096)
def parse(text: str, dimension: str, *, bare: str | None = None) -> Quantity:
    """Read a quantity of `dimension`, one of DIMENSIONS.

    A number without a unit is refused where `bare` is None; where it is
    "metric" or "imperial" it takes the unit that system shows, which is then
    appended to the text. Raises UnitError, and nothing else, for any text
    that is no such quantity.
    """
    typed = " ".join(text.split())
    if len(typed) > _LONGEST:
        raise _error(typed, "is too long", dimension)
    plain = plain_spelling(typed)
    if match := _FEET.fullmatch(plain):
        number, unit_text = _feet_and_inches(typed, match[2], match[3] or match[4], dimension), "ft"
    elif match := _PLAIN.fullmatch(plain):
        number, unit_text = _number(typed, match[2], dimension), match[3] or ""
    else:
        raise _error(typed, "is not one number with a unit" if typed else "is empty", dimension)
    if not unit_text:
        if bare is None:
            raise _error(typed, "has no unit", dimension)
        unit_text = unit_name(dimension, bare)
        typed = f"{typed} {unit_text}"
    unit = unit_of(unit_text)
    if unit is None:
        raise _error(typed, "has a unit that is not known", dimension, f", {_quoted(unit_text)}")
    if unit.measures != measures_of(dimension):
        raise _error(typed, _is(unit.measures), dimension)
    return Quantity((-number if match[1] == "-" else number) * unit.scale + unit.offset + 0.0, typed)


def parse_number(text: str) -> float:
    """Read a number that has no unit: a decimal or a fraction with or without a sign. Raises UnitError."""
    typed = " ".join(text.split())
    match = _PLAIN.fullmatch(plain_spelling(typed)) if len(typed) <= _LONGEST else None
    if match is None or match[3]:
        raise _error(typed, "is not a number" if typed else "is empty", "")
    value = _number(typed, match[2], "")
    return -value if match[1] == "-" else value


def plain_spelling(text: str) -> str:
    """A text in lower case, its fractions, signs and spaces written in the one way the grammar knows."""
    return " ".join(text.translate(_READ_AS).lower().split())


def _feet_and_inches(typed: str, feet_text: str, inches_text: str, dimension: str) -> float:
    feet, inches = _number(typed, feet_text, dimension), _number(typed, inches_text, dimension)
    if inches >= 12 or feet != int(feet):
        raise _error(typed, "is not whole feet with less than 12 inches", dimension)
    return feet + inches / 12


def _number(typed: str, text: str, dimension: str) -> float:
    """The value of a decimal or a fraction; `typed` and `dimension` are for the message."""
    if "/" in text:
        *whole, over, under = (int(part) for part in re.findall("[0-9]+", text))
        if not under or (whole and over >= under):
            raise _error(typed, "has an impossible fraction", dimension)
        value = sum(whole) + over / under
    else:
        if grouped := re.fullmatch(r"([1-9][0-9]{0,2}),([0-9]{3})", text):
            either = f"may mean {grouped[1]}{grouped[2]} or {grouped[1]}.{grouped[2]}: write one of these"
            raise _error(typed, either, dimension)
        text = _without_groups(text)
        if len(re.findall("[.,]", text)) > 1:
            raise _error(typed, "has more than one point or comma: write it without thousands separators", dimension)
        value = float(text.replace(",", "."))
        if not value and re.search("[1-9]", text.partition("e")[0]):
            raise _error(typed, "is too small a number", dimension)
    if value > _LARGEST:
        raise _error(typed, "is too large a number", dimension)
    if 0 < value < _SMALLEST:
        raise _error(typed, "is too small a number", dimension)
    return value


def _without_groups(text: str) -> str:
    """A decimal such as 1,200.5 or 1.200,5, whose last sign can only be the decimal one, without its thousands separators."""
    for group, point in (",.", ".,"):
        if re.fullmatch(rf"[1-9][0-9]{{0,2}}(\{group}[0-9]{{3}})+\{point}[0-9]*", text):
            return text.replace(group, "")
    return text


def _error(typed: str, problem: str, dimension: str, detail: str = "") -> UnitError:
    return UnitError(typed, problem, wanted_text(dimension), detail)


def _quoted(text: str) -> str:
    """Text safe to show in a message: one line, no control characters, cut to 40 characters."""
    shown = printable(text)
    return f"'{shown if len(shown) <= 40 else shown[:37] + '...'}'"


def _is(measures: Any) -> str:
    names = (row.name for dimension, row in TABLE.items() if measures_of(dimension) == measures)
    return f"is {name}" if (name := next(names, "")) else "measures something else"
