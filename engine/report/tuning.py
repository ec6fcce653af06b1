"""What tuning a design to its baseline moved, as plain text of any width and as JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.air.losses.leaks import LOOSEST
from engine.design import Design, system
from engine.field.spots import place_text
from engine.field.tuned import tuned_note
from engine.field.tuning import HARD, NOT_BELIEVABLE, NOT_TOLD, Fit, Moved
from engine.field.unknowns import is_port
from engine.report.pen import WIDTH, json_text, picked, wrapped
from engine.units.words import counted

_NAMES = {
    "collector": "pressure of the collector's curve", "filter": "drop of the filter", "pipe": "roughness of pipe", "hose": "roughness of hose",
    "ports": "loss of every other port",
}  # fmt: skip
_BEHIND = (
    "Times: of what the design says, nine times in ten between the two behind it. A spread is one standard deviation of what was believed before "
    "anything was read."
)
_LOOK = (
    "What is hard to believe, and what does not fit, is more likely a fault in the shop, a slip in a reading or a wrong figure in the design "
    "than a fact: look there before you work by it."
)


def as_text(found: Fit, width: int = WIDTH) -> str:
    """What moved, how far, and what to think of it, in lines of at most `width` cells."""
    return "\n".join(line for part in _parts(found) for line in (wrapped(part, width=width) if part else [""]))


def _parts(found: Fit) -> Iterator[str]:
    design = found.design
    yield f"{design.name}: {tuned_note(design)}"
    yield f"{counted(len(found.readings), 'reading')} of the baseline, off by {found.before:.1f} of their spreads before, by {found.after:.1f} now"
    yield ""
    yield from (_moved(design, one) for one in found.moved if one.verdict != NOT_TOLD)
    if untold := [f"{_name(design, one.of)} {one.factor:.2f} times" for one in found.moved if one.verdict == NOT_TOLD]:
        yield f"{NOT_TOLD}, left near what the design says: {', '.join(untold)}"
    for reading, why in found.left_out:
        yield f"left out: {reading.what} at {place_text(reading, system(design))}: {why}"
    for reading in found.far_off:
        yield f"does not fit: {reading.what} at {place_text(reading, system(design))}, {reading.gate_set or 'no gate set'}: {reading.value}"
    yield ""
    yield _BEHIND
    if found.far_off or any(one.verdict in (HARD, NOT_BELIEVABLE) for one in found.moved):
        yield _LOOK


def _moved(design: Design, one: Moved) -> str:
    way = f"{abs(one.moved):.1f} spreads {'down' if one.moved < 0 else 'up'}"
    return f"{_name(design, one.of)}: {one.factor:.2f} times ({one.low:.2f} to {one.high:.2f}), {way}, {one.verdict}"


def _name(design: Design, of: str) -> str:
    if of == "leakage":
        return f"leakage of the ducts, of what class {design.leakage.tightness or LOOSEST} allows"
    return f"loss of {of}" if is_port(of) else _NAMES[of]


def as_json(found: Fit) -> str:
    """The same as JSON text: factors on what the design says, `moved` in spreads of what was believed, `before` and `after` as ratios."""
    tuned = found.design.tuned
    return json_text(
        found.design, readings=len(found.readings), since=_day(tuned.since), date=_day(tuned.date), before=found.before, after=found.after,
        moved=[picked(one, "of", "factor", "low", "high", "moved", "verdict") for one in found.moved],
        left_out=[{**_reading(reading), "reason": why} for reading, why in found.left_out], far_off=[_reading(reading) for reading in found.far_off],
    )  # fmt: skip


def _day(day: object) -> str | None:
    return str(day) if day else None


def _reading(reading: Any) -> dict[str, Any]:
    told = picked(reading, "what", "gate_set", "at", "port", "test_point", "value")
    return {name: value for name, value in told.items() if value is not None}
