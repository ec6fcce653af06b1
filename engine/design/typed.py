"""Figures as they are typed: computed where it is arithmetic, and within the limits of their entry."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from engine.design.entries import Entry
from engine.units import Quantity, UnitError, parse, show_about
from engine.units.ranges import Range, ends, parse_range


class BadValue(ValueError):  # noqa: N818  # it tells what is wanted; nothing has gone wrong
    """What was typed is no value of the field; str() is one line that says why and what is wanted."""


def read_figure(entry: Entry, text: str, units: str) -> Any:
    """A quantity, a number or a count, or arithmetic on such; without a unit in that which `units` shows. Raises BadValue."""
    match entry.kind:
        case "quantity":
            return _quantity(entry, text, units)
        case "count":
            return _count(entry, text)
    return _number(entry, text)


def _quantity(entry: Entry, text: str, units: str) -> Any:
    from engine.units.arithmetic import calculate  # its patterns take long to compile: not before something is typed

    for word, value in entry.words:
        if text.lower() == word:
            return Quantity(value, word)
    try:
        found = (_range(entry, text, units) if entry.ranged else None) or calculate(text, entry.dimension, units)
    except UnitError as error:
        raise BadValue(str(error)) from None
    for end in ends(found):
        _within(entry, end, lambda value, least: show_about(value, entry.dimension, units, least=least))
    return found


def _range(entry: Entry, text: str, units: str) -> Range | None:
    """A range from less to more, None for any other text; a difference that falls is arithmetic."""
    try:
        found = parse_range(text, entry.dimension, partial(parse, bare=units))
    except UnitError:
        return None
    return found if isinstance(found, Range) else None


def _number(entry: Entry, text: str) -> float:
    from engine.units.arithmetic import calculate_number

    try:
        value = calculate_number(text)
    except UnitError as error:
        raise BadValue(f"{error}, such as {_example(entry)}") from None
    _within(entry, value, lambda limit, _least: f"{limit:g}")
    return value


def _count(entry: Entry, text: str) -> int:
    from engine.units.arithmetic import calculate_number

    try:
        value = calculate_number(text)
    except UnitError:
        value = 0.5
    if value != int(value):
        raise BadValue(f"wanted a whole number, such as {_example(entry)}")
    _within(entry, value, lambda limit, _least: f"{limit:g}")
    return int(value)


def _example(entry: Entry) -> str:
    return entry.shown_default if entry.shown_default[:1].isdigit() else "1.5" if entry.kind == "number" else "3"


def _within(entry: Entry, value: float, shown: Callable[[float, bool], str]) -> None:
    low_enough = value <= entry.high
    high_enough = value > entry.low if entry.open_low else value >= entry.low
    if not (low_enough and high_enough):
        least = f"more than {shown(entry.low, True)}" if entry.open_low else shown(entry.low, True)
        raise BadValue(f"wanted {least} to {shown(entry.high, False)}" if entry.high < float("inf") else f"wanted {least}")
