"""Quantities as the trade writes them: text in, SI out, and back to text.

Pint decides what a unit is worth (see `engine.units.spellings`); the grammar in
front of it is our own, since there `12ft 6in` is a product and `4 1/2 in` is
2 in: numbers with a point or a comma, fractions, feet with inches.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, lru_cache
from math import ceil, floor, isfinite, log10
from typing import Any, NamedTuple

from engine.units.printable import printable
from engine.units.spellings import known, unit_of


class _Shown(NamedTuple):
    """A unit to show in, with the decimals from 10 up, from 1 to 10 and below 1; `trim` drops closing zeros."""

    unit: str
    decimals: tuple[int, int, int]
    trim: bool = True


class _Dimension(NamedTuple):
    name: str
    si: str
    listed: str
    metric: _Shown
    imperial: _Shown


_TABLE = {
    "length": _Dimension("a length", "m", "m, cm, mm, ft, in", _Shown("m", (3, 3, 3)), _Shown("ft", (2, 2, 2))),
    "bore": _Dimension("a bore", "m", "mm, cm, m, in, ft", _Shown("mm", (1, 1, 1)), _Shown("in", (3, 3, 3))),
    "roughness": _Dimension("a roughness", "m", "mm, um, m, in, ft", _Shown("mm", (3, 3, 4)), _Shown("in", (4, 5, 6))),
    "flow": _Dimension("a flow", "m3/s", "m3/h, m3/min, m3/s, L/s, cfm", _Shown("m3/h", (0, 1, 1)), _Shown("cfm", (0, 1, 1))),
    "speed": _Dimension("a speed", "m/s", "m/s, km/h, ft/min, fpm, ft/s", _Shown("m/s", (1, 1, 1), False), _Shown("ft/min", (0, 0, 0))),
    "pressure": _Dimension("a pressure", "Pa", "Pa, kPa, mbar, mmH2O, inH2O", _Shown("Pa", (0, 1, 1)), _Shown("inH2O", (1, 1, 2), False)),
    "temperature": _Dimension("a temperature", "K", "degC, degF, K", _Shown("degC", (1, 1, 1)), _Shown("degF", (1, 1, 1))),
    "angle": _Dimension("an angle", "rad", "deg, rad", _Shown("deg", (1, 1, 1)), _Shown("deg", (1, 1, 1))),
    "area": _Dimension("an area", "m2", "m2, cm2, ft2, in2", _Shown("m2", (2, 2, 4)), _Shown("ft2", (1, 2, 3))),
    "density": _Dimension("a density", "kg/m3", "kg/m3, lb/ft3", _Shown("kg/m3", (3, 3, 3)), _Shown("lb/ft3", (4, 4, 4))),
}  # fmt: skip
DIMENSIONS = tuple(_TABLE)
_LONGEST = 60
_LARGEST = 1e12
_SMALLEST = 1e-12
_ALIKE = 1e-6


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


# ---- text to quantity

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
    if unit.measures != _measures(dimension):
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


def wanted_text(dimension: str) -> str:
    """What a message says is wanted of a text of this dimension, "" for a number without a unit."""
    return f"{_TABLE[dimension].name} in one of {unit_list(dimension)}" if dimension else "a number"


def _quoted(text: str) -> str:
    """Text safe to show in a message: one line, no control characters, cut to 40 characters."""
    shown = printable(text)
    return f"'{shown if len(shown) <= 40 else shown[:37] + '...'}'"


@cache
def _measures(dimension: str) -> Any:
    return known(_TABLE[dimension].si).measures


def _is(measures: Any) -> str:
    names = (row.name for dimension, row in _TABLE.items() if _measures(dimension) == measures)
    return f"is {name}" if (name := next(names, "")) else "measures something else"


# ---- quantity to text


class _Scale(NamedTuple):
    shown: _Shown
    scale: float
    offset: float


@cache
def _scale(dimension: str, system: str) -> _Scale:
    shown: _Shown = getattr(_TABLE[dimension], system)
    unit = known(shown.unit)
    return _Scale(shown, unit.scale, unit.offset)


def show(si: float, dimension: str, system: str, *, digits: int | None = None) -> str:
    """A value as text that `parse` reads back, in the units of `system` ("metric" or "imperial").

    Digits are those that are plausible in a workshop; `digits` asks for that
    many decimals instead. Imperial lengths are feet and inches to 1/8 in,
    unless `digits` asks for decimal feet.
    """
    if dimension == "length" and system == "imperial" and digits is None and isfinite(si):
        return _feet_text(si)
    return f"{number_text(si, dimension, system, digits=digits)} {unit_name(dimension, system)}"


def si_unit(dimension: str) -> str:
    """The unit that SI values of a dimension are in."""
    return _TABLE[dimension].si


def number_text(si: float, dimension: str, system: str, *, digits: int | None = None) -> str:
    """The number `show` gives, without its unit `unit_name`; an imperial length in decimal feet."""
    shown, scale, offset = _scale(dimension, system)
    value = (si - offset) / scale
    if digits is not None:
        return f"{value:z.{digits}f}"
    size = abs(value)
    text = f"{value:z.{shown.decimals[0 if size >= 10 else 1 if size >= 1 else 2]}f}"
    return _trimmed(text) if shown.trim else text


@lru_cache(maxsize=256)
def show_about(si: float, dimension: str, system: str, *, least: bool = False) -> str:
    """A limit as it is told: "28.0 m/s" as metric shows it; in imperial units, in which nobody chose it, "about 5500 ft/min".

    Two digits, down or for the `least` allowed up, so that a value told so is one that will do.
    """
    shown, scale, offset = _scale(dimension, system)
    value = (si - offset) / scale
    if system == "metric" or dimension == "angle" or not value or not isfinite(value):
        return show(si, dimension, system)
    last = 10.0 ** (floor(log10(abs(value)) + 1e-9) - 1)
    rounded = (ceil(value / last - 1e-6) if least else floor(value / last + 1e-6)) * last
    about = "" if abs(rounded - value) <= 1e-6 * abs(value) else "about "
    return f"{about}{rounded:.12g} {shown.unit}"


def show_beside(si: float, limit: float, dimension: str, system: str) -> tuple[str, str]:
    """A value and the limit it is past, told so that the one reads as above or below the other as it is.

    The limit comes as `show_about` tells it; where that would read like the
    value, or on its wrong side, with the digits that part them.
    """
    above = si > limit
    value = show(si, dimension, system)
    for told in (show_about(limit, dimension, system, least=not above), show(limit, dimension, system)):
        if _reads_right(value, told, dimension, system, above):
            return value, told
    for digits in range(1, 6):
        value, told = (show(number, dimension, system, digits=digits) for number in (si, limit))
        if _reads_right(value, told, dimension, system, above):
            break
    return value, told


def _reads_right(value: str, limit: str, dimension: str, system: str, above: bool) -> bool:
    one, other = _read_back(value, dimension, system), _limit_read(limit, dimension)
    return abs(one - other) > _ALIKE * abs(other) and (one > other) == above


def _read_back(shown: str, dimension: str, system: str) -> float:
    """What `show` made, SI: a plain number before the unit is read at once, and feet with inches as they are typed."""
    number, _, unit = shown.partition(" ")
    made_in = _scale(dimension, system)
    return float(number) * made_in.scale + made_in.offset if unit == made_in.shown.unit else parse(shown, dimension).si


@lru_cache(maxsize=256)
def _limit_read(limit: str, dimension: str) -> float:
    """A limit as it was told, SI. Kept: a design has few limits and asks after them at every run of every gate set."""
    return parse(limit.removeprefix("about "), dimension).si


def make(si: float, dimension: str, system: str) -> Quantity:
    """A Quantity near `si`: its text is as short as `show`'s digits allow, and it is what that text says."""
    if dimension == "length" and system == "imperial":
        return parse(show(si, dimension, system), dimension)
    return parse(f"{_trimmed(number_text(si, dimension, system))} {unit_name(dimension, system)}", dimension)


def unit_name(dimension: str, system: str) -> str:
    """The unit a plain number stands for, such as "m3/h"; feet for an imperial length."""
    return _scale(dimension, system).shown.unit


def unit_list(dimension: str) -> str:
    """The units to name in a message, such as "m, cm, mm, ft, in"."""
    return _TABLE[dimension].listed


def _trimmed(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text


def _feet_text(si: float) -> str:
    inches = abs(si) / known("in").scale
    eighths = round(inches * 8)
    if not eighths:
        return _trimmed(f"{si / known('in').scale:z.2f}") + "in"
    feet, rest = divmod(eighths, 96)
    whole, part = divmod(rest, 8)
    fraction = {0: "", 2: "1/4", 4: "1/2", 6: "3/4"}.get(part, f"{part}/8")
    inch_text = " ".join(filter(None, (str(whole) if whole else "", fraction)))
    parts = (f"{feet}ft" if feet else "", f"{inch_text}in" if inch_text else "")
    return ("-" if si < 0 else "") + " ".join(filter(None, parts))
