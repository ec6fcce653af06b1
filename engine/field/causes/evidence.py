"""Which readings of a design tell what is wrong now, which what was right before, and which are left out, with the reason."""

from __future__ import annotations

from datetime import date

from engine.design import Design, Reading, defaults
from engine.design.rules.record import reading_value
from engine.field.built import as_built
from engine.field.causes.lineup import Lineup, lineup_of, why_not
from engine.field.causes.weighing import Seen
from engine.field.expected import task_of
from engine.field.spots import Unforeseen, filter_of
from engine.field.verdicts import NINE_IN_TEN, impossible, is_repeated, is_stale, own_doubt
from engine.values import dataclass


@dataclass(frozen=True, slots=True)
class Unused:
    """A reading that is left out, and why."""

    reading: Reading
    why: str


@dataclass(frozen=True, slots=True)
class Evidence:
    """Readings of now and of the baseline, each as it was taken and as it was `seen`; those left out.

    `state` is that of the filter now, `lineup` what may be wrong with it so. `since` is the day from which readings count, None for all.
    """

    readings: tuple[Reading, ...]
    seen: tuple[Seen, ...]
    baseline: tuple[Reading, ...]
    before: tuple[Seen, ...]
    unused: tuple[Unused, ...]
    state: str
    lineup: Lineup
    since: date | None


def evidence_of(design: Design, since: date | None = None) -> Evidence:
    """The readings of a consistent design that has runs, since a day; without one, since the last of its baseline."""
    unused: list[Unused] = []
    kept: list[tuple[Reading, Seen]] = []
    for reading in design.readings:
        found = _seen(design, reading)
        if isinstance(found, Unused):
            unused.append(found)
        else:
            kept.append((reading, found))
    before = [(reading, seen) for reading, seen in kept if seen.baseline]
    dated = since is not None
    since = since or max((reading.date for reading, _ in before if reading.date), default=None)
    now = [(reading, seen) for reading, seen in kept if not seen.baseline and _counts(reading, since, dated)]
    latest = max((reading for reading, _ in reversed(now)), key=lambda reading: reading.date or date.min, default=None)
    state = filter_of(design, latest) if latest else design.collector.filter or defaults.FILTER
    return Evidence(
        tuple(reading for reading, _ in now), tuple(seen for _, seen in now), tuple(reading for reading, _ in before),
        tuple(seen for _, seen in before), tuple(one for one in unused if _counts(one.reading, since, dated)), state,
        lineup_of(as_built(design), state), since,
    )  # fmt: skip


def _counts(reading: Reading, since: date | None, dated: bool) -> bool:
    """Whether a reading is of that day or later; one without a date is, unless only `dated` ones are asked for."""
    return since is None or (not dated if reading.date is None else reading.date >= since)


def _seen(design: Design, reading: Reading) -> Seen | Unused:
    """A reading in its lineup, or why it tells nothing."""
    task = task_of(design, reading)
    if isinstance(task, Unforeseen):
        return Unused(reading, str(task))
    if why := impossible(design, reading):
        return Unused(reading, why)
    if is_stale(design, reading):
        return Unused(reading, "the ducts or gates were others then")
    if not reading.baseline and is_repeated(design, reading):
        return Unused(reading, "it was read again, later that day")
    lineup = lineup_of(as_built(design), task.filter)
    if why := why_not(lineup, task):
        return Unused(reading, why)
    value = reading_value(reading).si
    return Seen(lineup, task, value, own_doubt(reading, value) / NINE_IN_TEN, bool(reading.baseline))
