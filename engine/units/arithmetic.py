"""Arithmetic typed where a value is wanted: `2.4 + 0.6`, `3 x 1.2 m`, `(4ft 6in + 18in)/2`.

What a design keeps is a plain quantity: the text of one that was computed is
made from the outcome. Text that is a quantity as it stands is left as it is,
so `12ft 6in`, `1 1/2 in` and `-3 m` mean here what they mean in a file.

    sum      product (("+" | "-") product)*
    product  factor (("x" | "*" | "/") factor)*
    factor   ("+" | "-") factor | "(" sum ")" [unit] | quantity | number
"""

from __future__ import annotations

import re

from engine.units import (
    DECIMAL,
    FEET_SIGN,
    INCH_SIGN,
    Quantity,
    UnitError,
    parse,
    parse_number,
    plain_spelling,
    show,
    unit_name,
    wanted_text,
)  # fmt: skip
from engine.units.spellings import known, unit_of
from engine.values import dataclass

_LONGEST = 100
_NOTHING = 1e-12
_DIGITS = range(6, 16)
# A hyphen joins a fraction or inches only where it stands close and inches or feet follow; elsewhere it takes away.
_MIXED = rf"[0-9]+(?: |-(?=[0-9]+/[0-9]+ ?(?:{FEET_SIGN}|{INCH_SIGN})))[0-9]+ ?/ ?[0-9]+(?![0-9.,])"
_NUMBER = rf"(?:{_MIXED}|[0-9]+ ?/ ?[0-9]+(?![0-9.,])|{DECIMAL})"
_FEET = re.compile(
    rf"{_NUMBER} ?{FEET_SIGN}(?: ?|-){_NUMBER} ?{INCH_SIGN}(?![a-z0-9])"
    rf"|{_NUMBER} ?(?:'(?: ?|-)|{FEET_SIGN}(?: |-)){_NUMBER}(?! ?(?!x ?[0-9(])[a-z0-9])"
)
_ANY_NUMBER, _DIVISOR = re.compile(_NUMBER), re.compile(DECIMAL)
_UNIT = re.compile(r" ?([a-z°\"'][a-z0-9°\"'./^ ]*)")
_WORD = re.compile(r" ?([a-z°\"'][^ ()+*-]*)")
_TIMES = re.compile(r"x(?= ?[0-9.,(+-])")
_COMPUTED = re.compile(r"[+*×÷()]|[0-9a-z.'\"] ?(?:x|-|/) ?[0-9.,(+-]|[x/-]$")
_EXPONENT = re.compile(r"(?<=[0-9.])e[+-]?[0-9]+")
_HYPHEN = re.compile(r"[0-9a-z.'\"](?P<space> ?)- ?[0-9]")
_IMPROPER = re.compile(r"[+-]? ?([0-9]+) ?/ ?([0-9]+)\b")
_INCHES = re.compile(rf"[0-9 ](?:{FEET_SIGN}|{INCH_SIGN})")
_SPELLED = {'"': "in", "''": "in", "'": "ft"}
_FEET_UNITS = ("ft", "foot", "feet")
_READ_AS = {ord("×"): "x", ord("*"): "x", ord("·"): "x", ord("÷"): "/"}


def calculate(text: str, dimension: str, units: str) -> Quantity:
    """Read a quantity, or arithmetic on quantities of `dimension`.

    A number without a unit is in the unit that `units`, "metric" or
    "imperial", shows; as a factor it is a number. Quantities add only within
    the dimension, and a product has at most one. Raises UnitError.
    """
    try:
        given = parse(text, dimension, bare=units)
    except UnitError as reason:
        if not _is_computed(text):
            raise reason from None
        return _computed(text, dimension, units)
    plain = _EXPONENT.sub("", plain_spelling(text))
    inches = _INCHES.search(plain_spelling(given.text)) is not None
    if hyphen := _HYPHEN.search(plain):
        if inches and not hyphen["space"]:
            return given
        other = _computed(text, dimension, units)
        feet = dimension == "length" and inches
        joined = _text(_Value(given.si, "ft" if feet else unit_name(dimension, units), feet))
        raise UnitError(text.strip(), f"may mean {joined} or {other.text}", "one of these")
    if (fraction := _IMPROPER.match(plain)) and int(fraction[1]) >= int(fraction[2]) and not inches:
        return _computed(text, dimension, units)
    return given


def calculate_number(text: str) -> float:
    """Read a number, or arithmetic on numbers without a unit. Raises UnitError."""
    try:
        given = parse_number(text)
        if not _HYPHEN.search(_EXPONENT.sub("", plain_spelling(text))):
            return given
    except UnitError as reason:
        if not _is_computed(text):
            raise reason from None
    return float(f"{_Reader(text, '', '').outcome().amount:.12g}")


def _is_computed(text: str) -> bool:
    return _COMPUTED.search(_EXPONENT.sub("", plain_spelling(text))) is not None


def _computed(text: str, dimension: str, units: str) -> Quantity:
    reader = _Reader(text, dimension, units)
    value = reader.outcome()
    return parse(_text(value if value.unit else reader.measured(value)), dimension)


def _text(value: _Value) -> str:
    """The outcome in the unit that was typed first; feet with inches where eighths of one are exact."""
    if value.feet:
        text = show(value.amount, "length", "imperial")
        if abs(parse(text, "length").si - value.amount) <= 1e-6 * abs(value.amount):
            return text
    unit = known(value.unit)
    return f"{_shortest((value.amount - unit.offset) / unit.scale)} {value.unit}"


def _shortest(number: float) -> str:
    """A number to a millionth of itself in as few digits as that takes, six at least."""
    told = (float(f"{number:.{digits}g}") for digits in _DIGITS)
    return f"{next((short for short in told if abs(short - number) <= 1e-6 * abs(number)), number):.15g}"


@dataclass(frozen=True, slots=True)
class _Value:
    """A number, or with the `unit` it was typed in an SI amount; `feet` where it was feet."""

    amount: float
    unit: str = ""
    feet: bool = False


class _Reader:
    """One text read from left to right; raises UnitError where it is no arithmetic of the dimension ("": of plain numbers)."""

    def __init__(self, text: str, dimension: str, units: str) -> None:
        self._typed = " ".join(text.split())
        self._text = " ".join(plain_spelling(text).translate(_READ_AS).split())
        self._dimension, self._units = dimension, units
        self._at = 0
        if len(self._typed) > _LONGEST:
            raise self._error("is too long", f"at most {_LONGEST} characters")

    def outcome(self) -> _Value:
        """What it all comes to."""
        value = self._sum()
        if self._rest:
            raise self._error(f"has '{self._rest[:12]}' after what is complete", "+ - x or / between two values")
        return value

    # Grammar

    def _sum(self) -> _Value:
        value = self._product()
        while sign := self._took("+", "-"):
            other = self._product()
            value = self._added(value, other if sign == "+" else _Value(-other.amount, other.unit, other.feet))
        return value

    def _product(self) -> _Value:
        value = self._factor()
        while sign := self._took("/") or ("x" if _TIMES.match(self._text, self._blank()) and self._took("x") else self._unfinished("x")):
            value = self._multiplied(value, self._factor(divisor=sign == "/"), divide=sign == "/")
        return value

    def _factor(self, *, divisor: bool = False) -> _Value:
        if sign := self._took("+", "-"):
            value = self._factor(divisor=divisor)
            return value if sign == "+" else _Value(-value.amount, value.unit, value.feet)
        if self._took("("):
            value = self._sum()
            if not self._took(")"):
                raise self._error("has a bracket that is not closed", "')'")
            return value if value.unit else self._with_unit(value.amount)
        return self._literal(divisor)

    def _literal(self, divisor: bool) -> _Value:
        start = self._blank()
        if self._dimension and not divisor and (match := _FEET.match(self._text, start)):
            self._at = match.end()
            return _Value(parse(match[0], self._dimension).si, "ft", True)
        match = (_DIVISOR if divisor else _ANY_NUMBER).match(self._text, start)
        if match is None:
            found = f"has '{self._rest[:12]}' where a number should be" if self._rest else "breaks off"
            raise self._error(found, f"a number after '{self._text[:start].strip()[-1:]}'" if start else "a number to begin with")
        self._at = match.end()
        return self._with_unit(parse_number(match[0]))

    def _with_unit(self, number: float) -> _Value:
        """The number in the unit that follows it, if one does."""
        found = _UNIT.match(self._text, self._at)
        start, last = found.span(1) if found else (0, 0)
        for end in range(last, start, -1):
            unit_text = self._text[start:end]
            if unit_text == unit_text.strip() and self._may_end(end) and unit_of(unit_text):
                self._at = end
                return self._measured_in(number, unit_text)
        if (word := _WORD.match(self._text, self._at)) and word[1][0] != "x":
            raise self._error(f"has a unit that is not known, '{word[1][:12]}'", wanted_text(self._dimension))
        return _Value(number)

    def _measured_in(self, number: float, unit_text: str) -> _Value:
        if not self._dimension:
            raise self._error("has a unit", "numbers without one")
        spelled = _SPELLED.get(unit_text) or self._as_typed(unit_text)
        return _Value(parse(f"{number!r} {spelled}", self._dimension).si, spelled, spelled in _FEET_UNITS)

    # Values

    def measured(self, value: _Value) -> _Value:
        """A plain number in the unit shown."""
        if value.unit or not self._dimension:
            return value
        name = unit_name(self._dimension, self._units)
        unit = known(name)
        return _Value(value.amount * unit.scale + unit.offset, name)

    def _added(self, one: _Value, other: _Value) -> _Value:
        if one.unit or other.unit:
            self._check_adds()
            one, other = (self.measured(one), other) if other.unit else (one, self.measured(other))
        total = one.amount + other.amount
        total = 0.0 if abs(total) <= _NOTHING * max(abs(one.amount), abs(other.amount)) else total
        return _Value(total, one.unit, one.feet)

    def _multiplied(self, one: _Value, other: _Value, *, divide: bool) -> _Value:
        if other.unit and (divide or one.unit):
            raise self._error("divides by a quantity" if divide else "multiplies two quantities", "one quantity with a unit, the rest numbers")
        if one.unit or other.unit:
            self._check_adds()
        if divide and not other.amount:
            raise self._error("divides by zero", "another divisor")
        carrier = one if one.unit else other
        return _Value(one.amount / other.amount if divide else one.amount * other.amount, carrier.unit, carrier.feet)

    def _check_adds(self) -> None:
        if self._dimension == "temperature":
            raise self._error("computes with a temperature", "arithmetic on plain numbers only: a scale has a zero of its own")

    # Text

    @property
    def _rest(self) -> str:
        return self._text[self._at :].strip()

    def _blank(self) -> int:
        """Where the next word begins."""
        return self._at + (self._text[self._at : self._at + 1] == " ")

    def _took(self, *signs: str) -> str:
        """Which of the signs comes next, stepped over; "" for none."""
        at = self._blank()
        sign = next((sign for sign in signs if self._text.startswith(sign, at)), "")
        self._at = at + 1 if sign else self._at
        return sign

    def _unfinished(self, sign: str) -> str:
        """The sign where it is the last thing typed."""
        return self._took(sign) if self._rest == sign else ""

    def _may_end(self, end: int) -> bool:
        after = self._text[end : end + 1]
        return not (after.isalnum() or after == "^") or _TIMES.match(self._text, end) is not None

    def _as_typed(self, unit_text: str) -> str:
        """The unit in the letters it was typed in, such as inH2O."""
        found = re.search(re.escape(unit_text), self._typed, re.IGNORECASE)
        return found[0] if found else unit_text

    def _error(self, found: str, wanted: str) -> UnitError:
        return UnitError(self._typed, found, wanted)
