"""The forms that sheets are had in: a page of HTML, plain text, tables as CSV."""

from __future__ import annotations

from collections.abc import Sequence

from engine.report.page.contents import told
from engine.report.page.job import Job
from engine.report.page.plain import as_csv, as_text
from engine.report.page.sheets import Sheet, made

FORMS = ("html", "text", "csv")


def written(job: Job, sheets: Sequence[Sheet], form: str = "html") -> str:
    """Sheets of a job in one of FORMS. Jinja2 is imported for the page of HTML alone."""
    found, head = made(job, sheets), tuple(told.head(job))
    if form == "csv":
        return as_csv(head, found)
    if form == "text":
        return as_text(job.design.name, head, found)
    from engine.report.page.html import as_html

    return as_html(job.design.name, head, found, job.source, f"{job.date:%d %B %Y}" if job.date else "")
