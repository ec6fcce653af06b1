"""What is due, and the filter's trend. Logs and readings are invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from engine import load
from engine.catalog.tables import PROVENANCES, read
from engine.catalog.upkeep import duties
from engine.design import LogEntry, Reading
from engine.field.expected import expected
from engine.field.sheet import stops
from engine.field.taking import like
from engine.field.upkeep import calendar, filter_trend, moved_by_change, ticked
from engine.report.upkeep import as_json, as_text
from engine.units import parse
from tests import SAVED_DESIGNS

DESIGN = load(SAVED_DESIGNS / "boat_shed.toml")
DAY = date(2026, 3, 1)


def drop(day: date, times: float, gate_set: str = "planing") -> Reading:
    """A reading so many times what the design foresees with a clean filter."""
    like = Reading(date=day, gate_set=gate_set, filter="clean", what="filter drop", value="0 Pa")
    (found,) = expected(DESIGN, [like])
    return replace(like, value=f"{times * found.value} Pa")


def due_of(design, name):
    return next(due for due in calendar(design) if due.duty.id == name)


def test_every_duty_has_a_source_and_says_how_it_is_known():
    assert all(row["source"] and row["provenance"] in PROVENANCES for row in read("upkeep")["duty"])
    assert [duty.days for duty in duties()] == sorted(duty.days for duty in duties())


def test_a_duty_is_due_until_it_is_ticked_off_and_again_when_its_days_are_over():
    assert due_of(DESIGN, "leaks").is_due(DAY)
    done = ticked(DESIGN, due_of(DESIGN, "leaks").duty, DAY)
    assert [entry.text for entry in done.log] == ["leaks: done"] and ticked(done, due_of(done, "leaks").duty, DAY) is done
    due = due_of(done, "leaks")
    assert not due.is_due(DAY) and not due.is_due(DAY + timedelta(days=29)) and due.is_due(DAY + timedelta(days=30))
    bin_ = due_of(ticked(DESIGN, due_of(DESIGN, "bin").duty, DAY), "bin")
    assert not bin_.is_due(DAY) and bin_.is_due(DAY + timedelta(days=1))


def test_readings_tick_off_the_gauge_and_a_whole_round_the_suctions():
    """A round is done on the day of its oldest part: everything was read since."""
    every = [replace(like(each, stop), value="1 Pa", date=DAY) for each in DESIGN.gate_sets for stop in stops(DESIGN, each)]
    assert due_of(replace(DESIGN, readings=tuple(every)), "suctions").last == due_of(replace(DESIGN, readings=tuple(every)), "gauge").last == DAY
    suctions = [one for one in every if one.what == "suction"]
    assert due_of(replace(DESIGN, readings=tuple(suctions[1:])), "suctions").last is None
    late = replace(suctions[0], date=DAY + timedelta(days=3))
    assert due_of(replace(DESIGN, readings=(*suctions[1:], late)), "suctions").last == DAY
    assert due_of(replace(DESIGN, readings=(*every[:1],)), "gauge").last is None


@pytest.mark.parametrize(
    "text, counts", [("filter shaken, 340 Pa before", True), ("Filter: done", True), ("filters ordered", False), ("new filter", False)]
)
def test_a_log_entry_ticks_off_the_duty_it_begins_with(text, counts):
    design = replace(DESIGN, log=(LogEntry(date=DAY, text=text),))
    assert (due_of(design, "filter").last == DAY) == counts


def test_the_filter_wants_cleaning_where_a_line_through_its_drops_meets_the_limit():
    """The clean filter takes 0.5 inH2O at 1000 cfm, a dirty one 2.2: 1, 2 and 3 times that on days 0, 10 and 20 reach 4.4 times on day 34."""
    days = [DAY + timedelta(days=10 * count) for count in range(3)]
    readings = (drop(days[0], 1.0), drop(days[1], 2.0, "resawing"), drop(days[2], 3.0))
    trend = filter_trend(replace(DESIGN, readings=readings))
    assert [one.drop for one in trend.drops] == pytest.approx([times * parse("0.5 inH2O", "pressure").si for times in (1, 2, 3)], rel=1e-3)
    assert trend.day == DAY + timedelta(days=34) and "3 readings of 3 days" in trend.told


def test_what_was_read_before_the_filter_was_cleaned_is_left_out():
    days = [DAY + timedelta(days=10 * count) for count in range(4)]
    log = (LogEntry(date=days[2], text="filter: shaken"),)
    readings = (drop(days[0], 1.0), drop(days[1], 4.0), drop(days[2], 4.2), drop(days[2], 1.0), drop(days[3], 1.5))
    trend = filter_trend(replace(DESIGN, log=log, readings=readings))
    assert [one.day for one in trend.drops] == days[2:]
    slip = filter_trend(replace(DESIGN, log=log, readings=(*readings[:-1], drop(days[3], 9.0), readings[-1])))
    assert slip.drops == trend.drops  # read again that day
    assert trend.day == days[2] + timedelta(days=68)


@pytest.mark.parametrize(
    "times, told", [((1.0,), "two days at least"), ((2.0, 1.9), "does not rise"), ((2.0, 9.0), "there now"), ((2.0, 2.00001), "hardly rises")]
)
def test_where_there_is_no_day_it_says_why(times, told):
    readings = tuple(drop(DAY + timedelta(days=count), one) for count, one in enumerate(times))
    assert told in filter_trend(replace(DESIGN, readings=readings)).told


def test_what_a_change_of_the_ducts_did():
    before, after = (
        replace(drop(DAY, 1.0), date=DAY + timedelta(days=n), value=value, ducts=mark) for n, value, mark in ((0, "200 Pa", "a"), (9, "150 Pa", "b"))
    )
    (moved,) = moved_by_change(replace(DESIGN, readings=(before, after)))
    assert moved.share == pytest.approx(-0.25)
    assert not moved_by_change(replace(DESIGN, readings=(before, replace(after, ducts="a"))))
    (of_one_day,) = moved_by_change(replace(DESIGN, readings=(before, replace(after, date=before.date))))
    assert (of_one_day.before, of_one_day.share) == (before, moved.share)


def test_it_is_told_in_80_columns():
    design = replace(DESIGN, readings=(drop(DAY, 1.0), drop(DAY + timedelta(days=30), 2.0)), log=(LogEntry(date=DAY, text="bin emptied"),))
    told = as_text(design, DAY)
    assert "due: not done yet" in told and "wants cleaning at 2.2 inH2O at 1000 cfm, about 2026-06-11" in told and "2026-03-01 bin emptied" in told
    assert max(map(len, told.splitlines())) <= 80
    assert '"day": "2026-06-11"' in as_json(design, DAY)
