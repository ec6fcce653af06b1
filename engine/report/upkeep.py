"""Upkeep as plain text that fits 80 columns, and as JSON in SI base units."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from engine.checks.cautions import caution
from engine.design import READ, Design, system
from engine.design.rules.record import reading_value
from engine.field.spots import place_text
from engine.field.upkeep import Due, Moved, Trend, calendar, filter_trend, moved_by_change
from engine.report.pen import PAGE, cell, headed, json_text, paged, picked, wrapped
from engine.units import show

_NAME, _WHEN = 14, 30


def as_text(design: Design, today: date) -> str:
    """What is due, the filter's trend, what the last change did, and the log, its last entry first."""
    units = system(design)
    lines = [*headed(design, f"upkeep on {today.isoformat()}", PAGE), ""]
    for due in calendar(design):
        lines += wrapped(f"{cell(due.duty.title, _NAME)}{cell(due_text(due, today), _WHEN)}", "  ")
        lines += wrapped(f"{due.duty.text} ({due.duty.source}; {due.duty.provenance})", "    ") if due.is_due(today) else []
    lines += ["", *paged(f"filter: {trend_text(filter_trend(design), units)}")]
    for moved in moved_by_change(design):
        lines += paged(f"since the ducts changed: {moved_text(moved, units)}")
    log = sorted(design.log, key=lambda entry: entry.date, reverse=True)
    lock = caution("lock-off")
    lines += ["", *paged(f"{lock.title}: {lock.text(design)}")]
    return "\n".join([*lines, "", *(line for entry in log for line in paged(f"{entry.date.isoformat()} {entry.text}"))]).rstrip()


def due_text(due: Due, today: date) -> str:
    """When a duty is due, in words."""
    if due.last is None:
        return "due: not done yet" if due.duty.days else "every session: due"
    if not due.duty.days:
        return "done today" if due.last >= today else "every session: due"
    if due.next and due.next > today:
        return f"next {due.next.isoformat()}"
    return f"due since {due.next.isoformat()}" if due.next else "due"


def trend_text(trend: Trend, units: str) -> str:
    """The filter's trend in words."""
    if trend.day is None or trend.flow is None or trend.limit is None:
        return trend.told
    at = f"{show(trend.limit, 'pressure', units)} at {show(trend.flow, 'flow', units)}"
    return f"wants cleaning at {at}, about {trend.day.isoformat()}: {trend.told}"


def moved_text(moved: Moved, units: str) -> str:
    """What a change did to one reading, in words."""
    values = (show(reading_value(one).si, READ[one.what], units) for one in (moved.before, moved.after))
    opened = f", {moved.after.gate_set}" if moved.after.gate_set else ""
    return f"{moved.after.what} at {place_text(moved.after, units)}{opened} went {' to '.join(values)}, {moved.share:+.0%}"


def as_json(design: Design, today: date) -> str:
    """The same as JSON text: drops in Pa at a flow in m3/s, days as dates."""
    trend = filter_trend(design)
    told = {
        "drops": [{"date": drop.day.isoformat(), "drop": drop.drop} for drop in trend.drops],
        **picked(trend, "flow", "limit", "told"), "day": trend.day.isoformat() if trend.day else None,
    }  # fmt: skip
    changed = [{"what": moved.after.what, "place": place_text(moved.after, "metric"), "share": moved.share} for moved in moved_by_change(design)]
    return json_text(design, due=list(_due_json(design, today)), filter=told, changed=changed)


def _due_json(design: Design, today: date) -> Iterator[dict[str, object]]:
    for due in calendar(design):
        last, following = (day.isoformat() if day else None for day in (due.last, due.next))
        yield {**picked(due.duty, "id", "text", "days", "source"), "last": last, "next": following, "due": due.is_due(today)}
