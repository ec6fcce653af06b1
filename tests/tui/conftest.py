"""The pilot of a session looks often whether the session has come to rest."""

from __future__ import annotations

import pytest
from textual import _wait

BETWEEN_LOOKS, AT_WORK = 0.004, 0.0005  # seconds; of processor time between two looks, more than which is work


@pytest.fixture(autouse=True)
def pilot_looks_often(monkeypatch):
    """As it comes, Textual's pilot sleeps 40 ms for every key: most of the time of these tests."""
    monkeypatch.setattr(_wait, "SLEEP_GRANULARITY", BETWEEN_LOOKS)
    monkeypatch.setattr(_wait, "SLEEP_IDLE", AT_WORK)
