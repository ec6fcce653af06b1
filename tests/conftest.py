"""For every test: nothing is read from or written to the user's own folders, none fails because a machine is slow, and none waits for a disk."""

import gc
import os
from itertools import count
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile("any machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("any machine")

_NUMBERS = count()
_NEW_THINGS = 20_000  # before the youngest are looked through for garbage


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Long tests come first: none is left over at the end for one process alone, and what they share one process keeps for them."""
    items.sort(key=lambda item: item.get_closest_marker("slow") is None)


def pytest_collection_finish() -> None:
    """What is loaded stays: looking through it for garbage, again and again, is a tenth of all the work there is."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(_NEW_THINGS)


@pytest.fixture(scope="session")
def state_folders(tmp_path_factory) -> Path:
    """Where the state folders of the tests are."""
    return tmp_path_factory.mktemp("states")


@pytest.fixture(autouse=True)
def state_folder(state_folders, monkeypatch):
    """Unsaved designs, error reports and what is kept of units go to a folder of the test's own; most tests never make it."""
    folder = str(state_folders / str(next(_NUMBERS)))
    monkeypatch.setenv("XDG_STATE_HOME", folder)
    monkeypatch.setenv("XDG_CACHE_HOME", folder)


@pytest.fixture(autouse=True)
def no_wait_for_a_disk(monkeypatch):
    """Only where the power fails can anybody tell: in place of the call stands another of the system, with the same argument and errors."""
    monkeypatch.setattr(os, "fsync", os.fstat)
