"""The pilot of a session looks often whether the session has come to rest; a design file to work on."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual import _wait

from tests.shops.small_shop import design
from tui.work.document import Document

BETWEEN_LOOKS, AT_WORK = 0.004, 0.0005  # seconds; of processor time between two looks, more than which is work


@pytest.fixture(autouse=True)
def pilot_looks_often(monkeypatch):
    """As it comes, Textual's pilot sleeps 40 ms for every key: most of the time of these tests."""
    monkeypatch.setattr(_wait, "SLEEP_GRANULARITY", BETWEEN_LOOKS)
    monkeypatch.setattr(_wait, "SLEEP_IDLE", AT_WORK)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """The small shop's file, alone in its folder."""
    (tmp_path / "shop").mkdir()
    Document(design()).save_as(tmp_path / "shop" / "a.toml")
    return tmp_path / "shop" / "a.toml"
