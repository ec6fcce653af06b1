"""A design file to work on."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.document.small_shop import design
from tui.document import Document


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """The small shop's file, alone in its folder."""
    (tmp_path / "shop").mkdir()
    Document(design()).save_as(tmp_path / "shop" / "a.toml")
    return tmp_path / "shop" / "a.toml"
