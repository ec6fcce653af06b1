"""A folder for a session."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.terminal.demo import put_demo


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A folder with the demo in it."""
    put_demo(tmp_path)
    return tmp_path
