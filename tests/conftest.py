"""For every test: nothing is read from or written to the user's own folders."""

import pytest


@pytest.fixture(autouse=True)
def state_folder(tmp_path, monkeypatch):
    """Unsaved designs and error reports go to the test's own folder."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
