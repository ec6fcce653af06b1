"""Readings against what they should be, as plain text that fits 80 columns, and as JSON in SI base units."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from engine.checks.cautions import caution
from engine.design import READ, Design, Reading, system
from engine.field.built import cut_off, to_hang
from engine.field.verdicts import AS_EXPECTED, VERDICTS, Verdict, place_of
from engine.report.pen import PAGE, headed, json_text, paged, picked
from engine.units import parse, show
from engine.units.words import counted, listed

_GIVEN = ("gate_set", "filter", "what", "at", "port", "test_point", "instrument", "baseline", "ducts", "note")
_STALE, _HISTORY = "of other ducts than now (stale)", "read again later that day"


def as_text(design: Design, found: Sequence[Verdict], since: date | None = None) -> str:
    """Every reading with its verdict, what is wrong first; of what is as expected and of what was read again a line each."""
    lines = [*headed(design, "readings", PAGE), *_not_hung(design)]
    for title, of_title in _parts(found):
        if of_title:
            lines += ["", *paged(f"{title}: {len(of_title)}")]
            lines += [line for verdict in of_title for line in _reading(design, verdict, told=title not in (AS_EXPECTED, _HISTORY))]
    if not found:
        lines += ["", *paged(_none(design, since))]
    ladder = caution("ladder")
    return "\n".join([*lines, "", *paged(f"{ladder.title}: {ladder.text(design)}")])


def _parts(found: Sequence[Verdict]) -> Iterator[tuple[str, list[Verdict]]]:
    """The readings by what is to be thought of them, the gravest first; those of other ducts and those read again apart."""
    now = [verdict for verdict in found if not verdict.repeated]
    for word in reversed(VERDICTS):
        yield word, [verdict for verdict in now if verdict.verdict == word and not verdict.stale]
    yield _STALE, [verdict for verdict in now if verdict.stale]
    yield _HISTORY, [verdict for verdict in found if verdict.repeated]


def _none(design: Design, since: date | None) -> str:
    if since and design.readings:
        return f"no reading since {since.isoformat()}; {counted(len(design.readings), 'is', 'are')} older"
    return "no reading yet: put in [[reading]] tables, or press X in a session"


def _not_hung(design: Design) -> Iterator[str]:
    if missing := to_hang(design):
        yield from paged(f"not hung yet, and taken as capped: {listed(missing, 8)}")
    if beyond := cut_off(design):
        yield from paged(f"hung, but with no way to the collector yet: {listed(beyond, 8)}")


def _reading(design: Design, verdict: Verdict, *, told: bool) -> Iterator[str]:
    """A reading in a line, and the reason where it is to be `told`."""
    reading, units = verdict.reading, system(design)
    value = show(verdict.value, READ[reading.what], units)
    base = ", baseline" if reading.baseline else ""
    word = f", {verdict.verdict}" if verdict.stale or verdict.repeated else ""
    yield from paged(f"{reading.date or 'no date'}{value:>12}  {place_of(verdict, design)}{base}{word}", "  ")
    if told:
        yield from paged(verdict.reason, "      ")


def as_json(design: Design, found: Sequence[Verdict]) -> str:
    """The readings as JSON text: as given, their lengths and values in SI (`text` as it was written), with what was expected."""
    return json_text(design, not_hung=list(to_hang(design)), cut_off=list(cut_off(design)), readings=[_json(verdict) for verdict in found])


def _json(verdict: Verdict) -> dict[str, Any]:
    reading = verdict.reading
    given = {name: value for name, value in picked(reading, *_GIVEN).items() if value is not None}
    return {
        **_dated(reading), **given, **_distance(reading), "value": verdict.value, "text": reading.value, **_spread(reading),
        **picked(verdict, "expected", "low", "high", "predicted", "verdict", "reason", "by", "stale", "doubt", "repeated"),
    }  # fmt: skip


def _dated(reading: Reading) -> dict[str, str]:
    return {"date": reading.date.isoformat()} if reading.date else {}


def _distance(reading: Reading) -> dict[str, float]:
    return {"from_collector": reading.from_collector.si} if reading.from_collector else {}


def _spread(reading: Reading) -> dict[str, float]:
    return {"give_or_take": parse(reading.give_or_take, READ[reading.what]).si} if reading.give_or_take else {}
