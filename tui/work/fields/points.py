"""Points of a collector's curve as text: a point a line, or all of them in one line with ";" between."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from engine.design import CurvePoint
from engine.design.entries import entries
from engine.design.typed import BadValue, read_figure
from engine.units import unit_name

MOST_LINES = 100
_BETWEEN_VALUES = re.compile(r"\s*(?:[;\t|]|,(?=\s))\s*")


def text_of_points(points: Sequence[CurvePoint]) -> str:
    """Points in one line, as `read_points` takes them."""
    return "; ".join(f"{point.flow.text} {point.pressure.text}" for point in points)


def lines_of(text: str) -> list[str]:
    """The lines of a text, or the parts of one line where each holds several values; one that is empty stays, for the count."""
    lines = printable_lines(text)
    held = [typed for typed in lines if typed.strip()]
    parts = held[0].split(";") if len(held) == 1 else []
    return parts if len(parts) > 1 and all(len(part.split()) > 1 for part in parts if part.strip()) else lines


def printable_lines(text: str) -> list[str]:
    """The lines of a text, with a space for what cannot be shown, such as a tab."""
    return ["".join(letter if letter.isprintable() else " " for letter in typed) for typed in text.splitlines()]


def read_points(text: str, units: str) -> tuple[CurvePoint, ...]:
    """Points of a text in the order of their flows; a first line without a figure is a heading.

    Raises BadValue, which names every line that will not do.
    """
    points: list[CurvePoint] = []
    wrong: dict[int, str] = {}
    lines = lines_of(text)
    if len(lines) > MOST_LINES:
        raise BadValue(f"{len(lines)} lines: wanted at most {MOST_LINES}, a flow and a pressure each")
    for number, typed in _numbered(lines):
        try:
            point = read_point(typed, units)
            if any(point.flow.si == other.flow.si for other in points):
                raise BadValue(f"there is a point at {point.flow.text} already")
            points.append(point)
        except BadValue as reason:
            wrong[number] = str(reason)
    if wrong:
        (first, why), *rest = wrong.items()
        word = "line" if "\n" in text.strip() else "point"
        others = f" (nor will {word} {', '.join(str(number) for number, _ in rest)} do)" if rest else ""
        raise BadValue(f"{word} {first}: {why}{others}")
    return tuple(sorted(points, key=lambda point: point.flow.si))


def _numbered(lines: Sequence[str]) -> Iterator[tuple[int, str]]:
    heading = not any(letter.isdigit() for letter in lines[0]) if lines else False
    return ((number, typed) for number, typed in enumerate(lines, 1) if typed.strip() and not (heading and number == 1))


def read_point(text: str, units: str) -> CurvePoint:
    """A point of a curve from "flow pressure"; numbers without a unit are in `units`. Raises BadValue."""
    table = entries(CurvePoint)
    parts = _BETWEEN_VALUES.split(text.strip())
    words = parts if len(parts) == 2 else text.split()
    reason = f"wanted a flow and a pressure, such as {example_in(units)}"
    for at in sorted(range(1, len(words)), key=lambda at: -abs(2 * at - len(words))):
        try:
            flow, pressure = (read_figure(table[name], " ".join(part), units) for name, part in (("flow", words[:at]), ("pressure", words[at:])))
            return CurvePoint(flow=flow, pressure=pressure)
        except BadValue as error:
            reason = str(error) if 2 * at == len(words) else reason
    raise BadValue(reason)


def example_in(units: str) -> str:
    """A point as it may be typed."""
    flow, pressure = ("1000", "2000") if units == "metric" else ("600", "8")
    return f"{flow} {unit_name('flow', units)} {pressure} {unit_name('pressure', units)}"
