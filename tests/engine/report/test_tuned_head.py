"""Reports on what is solved say by which readings the figures go, in text, JSON and on paper. Invented data."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date

from engine.checks.assess import assess
from engine.design import Tuned
from engine.files.design_file import loads
from engine.report import assessment, chart, field
from engine.report.page.contents.told import head
from engine.report.page.job import Job
from engine.report.searches import throttling
from tests.shops.one_drop import TEXT

OFF = replace(loads(TEXT), tuned=Tuned(on=False, date=date(2026, 3, 14), collector=0.9))
ON = replace(OFF, tuned=replace(OFF.tuned, on=True))
NOTE = "tuned to readings of 2026-03-14"


def test_a_tuned_report_says_so_at_its_head_and_another_does_not():
    for design in (ON, OFF):
        solved = assess(design)
        texts = [
            assessment.as_text(solved, 80), field.as_text(design, ()), throttling.as_text(design, ()), "\n".join(chart.as_text(solved, "main")),
            "\n".join(str(block) for block in head(Job(design))),
        ]  # fmt: skip
        assert [NOTE in text for text in texts] == [design is ON] * len(texts)
        assert json.loads(assessment.as_json(solved)).get("tuned") == (NOTE if design is ON else None)
