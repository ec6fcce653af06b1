"""Readings against what they should be, as plain text that fits 80 columns, and as JSON in SI base units."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from engine.checks.cautions import caution
from engine.design import READ, Design, Reading, system
from engine.field.built import to_hang
from engine.field.verdicts import VERDICTS, Verdict, place_of
from engine.report.pen import PAGE, headed, json_text, paged, picked
from engine.units import parse, show
from engine.units.words import listed

_GIVEN = ("gate_set", "filter", "what", "at", "port", "test_point", "instrument", "baseline", "ducts", "note")


def as_text(design: Design, found: Sequence[Verdict]) -> str:
    """Every reading with its verdict, the oldest first."""
    lines = [*headed(design, "readings", PAGE), *_not_hung(design)]
    day = ""
    for verdict in found:
        date = verdict.reading.date.isoformat() if verdict.reading.date else "no date"
        if date != day:
            lines += ["", date]
            day = date
        lines += _reading(design, verdict)
    if not found:
        lines += ["", *paged("no reading yet: put in [[reading]] tables, or press X in a session")]
    counts = ", ".join(f"{sum(verdict.verdict == word for verdict in found)} {word}" for word in VERDICTS)
    ladder = caution("ladder")
    return "\n".join([*lines, "", counts, "", *paged(f"{ladder.title}: {ladder.text(design)}")])


def _not_hung(design: Design) -> Iterator[str]:
    if missing := to_hang(design):
        yield from paged(f"not hung yet, and taken as capped: {listed(missing, 8)}")


def _reading(design: Design, verdict: Verdict) -> Iterator[str]:
    value = show(verdict.value, READ[verdict.reading.what], system(design))
    base = ", baseline" if verdict.reading.baseline else ""
    yield from paged(f"{verdict.verdict:<12}{value:>11}  {place_of(verdict, design)}{base}", "  ")
    yield from paged(verdict.reason, "      ")


def as_json(design: Design, found: Sequence[Verdict]) -> str:
    """The readings as JSON text: as given, their lengths and values in SI (`text` as it was written), with what was expected."""
    return json_text(design, not_hung=list(to_hang(design)), readings=[_json(verdict) for verdict in found])


def _json(verdict: Verdict) -> dict[str, Any]:
    reading = verdict.reading
    given = {name: value for name, value in picked(reading, *_GIVEN).items() if value is not None}
    return {
        **_dated(reading), **given, **_distance(reading), "value": verdict.value, "text": reading.value, **_spread(reading),
        **picked(verdict, "expected", "low", "high", "predicted", "verdict", "reason", "by", "stale", "doubt"),
    }  # fmt: skip


def _dated(reading: Reading) -> dict[str, str]:
    return {"date": reading.date.isoformat()} if reading.date else {}


def _distance(reading: Reading) -> dict[str, float]:
    return {"from_collector": reading.from_collector.si} if reading.from_collector else {}


def _spread(reading: Reading) -> dict[str, float]:
    return {"give_or_take": parse(reading.give_or_take, READ[reading.what]).si} if reading.give_or_take else {}
