"""The demos, assessed once for all tests of the sheets."""

from __future__ import annotations

from functools import cache

import pytest

from engine.files.design_file import load
from engine.report.page.job import Job
from engine.report.page.sheets import SHEETS, Made, made
from tests import SAVED_DESIGNS


@cache
def _demo(name: str) -> tuple[Job, tuple[Made, ...]]:
    job = Job(load(SAVED_DESIGNS / f"{name}.toml"), f"{name}.toml")
    return job, made(job, SHEETS)


@pytest.fixture(params=["boat_shed", "signal_box"])
def demo(request) -> tuple[Job, tuple[Made, ...]]:
    """A demo and all its sheets: one in imperial units with many machines, one in metric with faults."""
    return _demo(request.param)
