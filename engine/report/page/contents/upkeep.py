"""The sheet of upkeep: what a shop does to keep its ducts right, how often, and a blank to sign."""

from __future__ import annotations

from collections.abc import Iterator

from engine.field.upkeep import calendar, filter_trend
from engine.report.page.blocks import BLANK, Block, Table, Words
from engine.report.page.job import Job
from engine.report.upkeep import due_text, trend_text
from engine.units.words import counted


def duties(job: Job) -> Iterator[Block]:
    """Every duty, with when it is due by the log; the filter's trend."""
    yield Words("Lock off before you open anything, let the fan stop, wear a respirator. Dates by the log of the design.", "warning")
    rows = []
    for due in calendar(job.design):
        often = f"every {counted(due.duty.days, 'day')}" if due.duty.days else "every session"
        rows.append((due.duty.title, often, due.duty.text, due_text(due, job.date) if job.date else "", BLANK))
    yield Table("", ("what", "how often", "", "due", "done"), tuple(rows))
    yield Words(f"Filter: {trend_text(filter_trend(job.design), job.units)}.")
    for source in dict.fromkeys(f"{due.duty.source} ({due.duty.provenance})" for due in calendar(job.design)):
        yield Words(f"source: {source}", "small")
