"""Upkeep: what is due, when the filter wants cleaning by the trend of its drop, what a change of the ducts did to suctions."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from typing import NamedTuple

from engine.air.fan import filter_loss
from engine.catalog.upkeep import Duty, duties
from engine.design import Design, LogEntry, Reading, gate_sets_of
from engine.design.rules.record import LAST_DAY, reading_value
from engine.field.expected import foreseen
from engine.field.sheet import stops
from engine.field.taking import latest, like
from engine.field.verdicts import impossible, is_repeated, same_place
from engine.values import dataclass

_FILTER = "filter"
# Readings of fewer days than this tell no trend.
_LEAST_DAYS = 2


@dataclass(frozen=True, slots=True)
class Due:
    """A duty: when it was last done and is to be done next; None where it never was, or is due every session."""

    duty: Duty
    last: date | None
    next: date | None

    def is_due(self, today: date) -> bool:
        """Whether it is to be done on a day."""
        return self.last is None or (self.next or self.last + timedelta(days=1)) <= today


def calendar(design: Design) -> tuple[Due, ...]:
    """Every duty, with when it was done by the log."""
    return tuple(_due(design, duty) for duty in duties())


def _due(design: Design, duty: Duty) -> Due:
    done = [*(entry.date for entry in design.log if ticks(entry, duty)), *_round(design, duty)]
    last = max(done, default=None)
    following = min(last + timedelta(days=duty.days), LAST_DAY) if last and duty.days else None
    return Due(duty, last, following)


def _round(design: Design, duty: Duty) -> tuple[date, ...]:
    """The day since which all has been read that a duty reads; none where something never was.

    What is due every session is read once in it; else every gate set counts, and every stop of its test sheet.
    """
    if not duty.reads:
        return ()
    days: list[date | None]
    if duty.days:
        asked = [like(each, stop) for each in gate_sets_of(design) for stop in stops(design, each) if stop.what in duty.reads]
        days = [found.date if (found := latest(design, one)) else None for one in asked]
    else:
        days = [max((one.date for one in design.readings if one.what == what and one.date), default=None) for what in duty.reads]
    known = [day for day in days if day is not None]
    return (min(known),) if known and len(known) == len(days) else ()


def ticks(entry: LogEntry, duty: Duty) -> bool:
    """Whether an entry of the log says that a duty was done: it begins with its name, as a word."""
    return re.match(rf"{re.escape(duty.id)}\b", entry.text.strip(), re.IGNORECASE) is not None


def ticked(design: Design, duty: Duty, day: date, text: str = "") -> Design:
    """A design whose log says that a duty was done on a day, with what was found; a second time on that day changes nothing."""
    entry = LogEntry(date=day, text=f"{duty.id}: {text.strip() or 'done'}")
    return design if entry in design.log else noted(design, entry)


def noted(design: Design, entry: LogEntry) -> Design:
    """A design with an entry more in its log."""
    return replace(design, log=(*design.log, entry))


class Drop(NamedTuple):
    """The filter's drop on a day, Pa, at the flow that the design tells it at."""

    day: date
    drop: float


@dataclass(frozen=True, slots=True)
class Trend:
    """The filter's drops since it was last cleaned, carried over to one flow [m3/s]; `limit` is where it wants cleaning, Pa.

    `day` is when a straight line through them reaches that, None where it
    does not; `told` says why in one line.
    """

    drops: tuple[Drop, ...]
    flow: float | None
    limit: float | None
    day: date | None
    told: str


def filter_trend(design: Design) -> Trend:
    """The trend of the filter's drop, by readings of "filter drop" since the log last says that it was cleaned.

    Least squares; drops of all gate sets are carried over to the flow that
    the design tells the filter's drop at, by what the design foresees.
    """
    loss = filter_loss(design.collector)
    if loss is None:
        return Trend((), None, None, None, "the design does not say what the filter takes: give the collector a loss with clean and dirty")
    drops = tuple(_drops(design))
    if loss.dirty is None:
        return Trend(drops, loss.at.si, None, None, "the design does not say at which drop the filter wants cleaning: give its loss dirty")
    day, told = _reaches(drops, loss.dirty.si)
    return Trend(drops, loss.at.si, loss.dirty.si, day, told)


def _drops(design: Design) -> Iterator[Drop]:
    loss = filter_loss(design.collector)
    cleaned = max((entry.date for entry in design.log if any(duty.id == _FILTER and ticks(entry, duty) for duty in duties())), default=date.min)
    # What was read on the day of cleaning may be from before it or after: only the last of that day is of the clean filter.
    dated = [one for one in design.readings if one.what == "filter drop" and one.date is not None and one.date >= cleaned]
    on_that_day = [one for one in dated if one.date == cleaned]
    counted = [one for one in dated if one not in on_that_day[:-1] and not impossible(design, one) and not is_repeated(design, one)]
    taken = sorted(counted, key=lambda one: one.date or date.min)
    if not taken or loss is None:
        return
    (values,) = foreseen([design], [replace(one, what="flow", at="collector", port=None, test_point=None, from_collector=None) for one in taken])
    for reading, flow in zip(taken, values, strict=True):
        if flow and reading.date:
            share = loss.at.si / flow
            yield Drop(reading.date, reading_value(reading).si * (share if loss.law == "linear" else share**2))


def _reaches(drops: tuple[Drop, ...], limit: float) -> tuple[date | None, str]:
    """The day a line through the drops reaches a limit, and how that was found."""
    days = sorted({drop.day for drop in drops})
    if len(days) < _LEAST_DAYS:
        return None, "readings of the filter's drop on two days at least tell a trend"
    first, middle = days[0], sum((drop.day - days[0]).days for drop in drops) / len(drops)
    mean = sum(drop.drop for drop in drops) / len(drops)
    square = sum(((drop.day - first).days - middle) ** 2 for drop in drops)
    slope = sum(((drop.day - first).days - middle) * (drop.drop - mean) for drop in drops) / square
    if max(drops, key=lambda drop: drop.day).drop >= limit:
        return days[-1], "it is there now"
    if slope <= 0:
        return None, "the filter's drop does not rise"
    ahead = middle + (limit - mean) / slope
    if ahead >= (LAST_DAY - first).days:
        return None, "the filter's drop hardly rises"
    return max(first + timedelta(days=int(ahead)), days[-1]), f"a straight line through {len(drops)} readings of {len(days)} days"


class Moved(NamedTuple):
    """Two readings of one place, before and after the ducts were changed, and by which share the later one is off."""

    before: Reading
    after: Reading
    share: float


def moved_by_change(design: Design) -> tuple[Moved, ...]:
    """What the last change of the ducts did: the last reading of each place beside the last one under another mark."""
    found, seen = list[Moved](), list[Reading]()
    latest_first = sorted(design.readings, key=lambda one: one.date or date.min)[::-1]  # of a day the last in the file
    for at, reading in enumerate(latest_first):
        if any(same_place(design, reading, one) for one in seen):
            continue
        seen.append(reading)
        earlier = (
            one for one in latest_first[at + 1 :] if same_place(design, one, reading) and one.ducts != reading.ducts and one.filter == reading.filter
        )
        before = next(earlier, None)
        if before and reading.ducts and before.ducts and reading_value(before).si > 0:
            found.append(Moved(before, reading, reading_value(reading).si / reading_value(before).si - 1.0))
    return tuple(found)
