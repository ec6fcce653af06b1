"""Quantities given as a range: 350 cfm to 450 cfm, 350-450 cfm."""

from __future__ import annotations

import re
from collections.abc import Callable

from engine.units.quantity import Quantity, UnitError, parse
from engine.units.shown import number_text, show
from engine.values import dataclass

_TO = re.compile(r"(.+) to (.+)", re.IGNORECASE)
_DASH = re.compile(r"([0-9.,]+(?: ?[^0-9 -]\S*)?) ?[-–] ?([0-9].*)")
_UNIT = re.compile(r"[0-9.,/ ]*[0-9] ?([^0-9 ].*)")


@dataclass(frozen=True, slots=True)
class Range(Quantity):
    """A quantity known to lie from `low` to `high`, SI; `si` is the middle."""

    low: float
    high: float


def ends(value: Quantity) -> tuple[float, ...]:
    """The SI values a quantity may have at most and at least: both ends of a range, one of any other."""
    return (value.low, value.high) if isinstance(value, Range) else (value.si,)


def span_text(value: Quantity, dimension: str, system: str) -> str:
    """The ends of a range behind its middle, whose unit is theirs: " (350-450)"; nothing for what is no range."""
    if not isinstance(value, Range):
        return ""
    return f" ({number_text(value.low, dimension, system)}-{number_text(value.high, dimension, system)})"


def range_text(value: Quantity, dimension: str, system: str) -> str:
    """A quantity in the units of `system`, of a range both ends: "350 to 450 cfm"."""
    if not isinstance(value, Range):
        return show(value.si, dimension, system)
    return f"{number_text(value.low, dimension, system)} to {show(value.high, dimension, system)}"


def as_typed(value: Quantity) -> str:
    """A quantity as it was typed, of a range the unit once where both ends have the same: "350-450 cfm"."""
    low, _, high = value.text.partition(" to ")
    unit = _UNIT.fullmatch(high)
    return f"{low.removesuffix(unit[1]).strip()}-{high}" if unit and low.endswith(f" {unit[1]}") else value.text


def parse_range(text: str, dimension: str, read: Callable[[str, str], Quantity] = parse) -> Quantity:
    """Read one quantity or a Range of two, the second the larger; what has no unit in the first takes that of the second.

    `read` reads each of them. Raises UnitError, that of the whole text where it is no range.
    """
    try:
        return read(text, dimension)
    except UnitError as error:
        typed = " ".join(text.split())
        match = _TO.fullmatch(typed) or _DASH.fullmatch(typed)
        if match is None:
            raise
        whole = error
    first, second = match.groups()
    if (unit := _UNIT.fullmatch(second)) and not _UNIT.fullmatch(first):
        first = f"{first} {unit[1]}"
    try:
        low, high = read(first, dimension), read(second, dimension)
    except UnitError:
        raise whole from None
    if low.si >= high.si:
        raise UnitError(text, "is no range that rises", whole.wanted)
    return Range((low.si + high.si) / 2, f"{low.text} to {high.text}", low.si, high.si)
