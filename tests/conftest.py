"""For every test: nothing is read from or written to the user's own folders."""

from itertools import count
from pathlib import Path

import pytest

_NUMBERS = count()


@pytest.fixture(scope="session")
def state_folders(tmp_path_factory) -> Path:
    """Where the state folders of the tests are."""
    return tmp_path_factory.mktemp("states")


@pytest.fixture(autouse=True)
def state_folder(state_folders, monkeypatch):
    """Unsaved designs and error reports go to a folder of the test's own; most tests never make it."""
    monkeypatch.setenv("XDG_STATE_HOME", str(state_folders / str(next(_NUMBERS))))
