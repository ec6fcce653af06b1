"""Garbage is looked for between keys, among older things now and then, and what was computed of designs of long ago is let go."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from dataclasses import replace

import pytest

from engine import load
from engine.checks.assess import assess
from engine.design import Run, Straight
from engine.design.kept import forget
from engine.units import make
from tests import SAVED_DESIGNS
from tui.terminal import between_keys


@pytest.mark.parametrize(
    ("counts", "looked"),
    [((10_000, 99, 99), []), ((10_001, 10, 10), [0]), ((10_001, 11, 10), [1]), ((10_001, 0, 11), [2]), ((10_001, 11, 11), [2])],
)
def test_what_is_looked_through_goes_by_what_was_made(monkeypatch, counts, looked):
    collected = []
    monkeypatch.setattr(gc, "get_count", lambda: counts)
    monkeypatch.setattr(gc, "collect", collected.append)
    between_keys.collect_due()
    assert collected == looked


@pytest.fixture
def nothing_by_itself() -> Iterator[None]:
    """Python looks for no garbage of its own accord."""
    before = gc.get_threshold()
    gc.set_threshold(0)
    yield
    gc.set_threshold(*before)
    gc.collect()


@pytest.mark.usefixtures("nothing_by_itself")
def test_a_session_that_takes_many_edits_leaves_no_circles_behind():
    class Circle:
        alive = 0

        def __init__(self):
            Circle.alive += 1
            self.own = self

        def __del__(self):
            Circle.alive -= 1

    for _ in range(60_000):
        Circle()
        between_keys.collect_due()
    assert Circle.alive <= 10_001


def test_a_session_that_takes_many_edits_holds_no_designs_of_long_ago(monkeypatch):
    """Runs count what is held: an edit makes one, and every answer about it holds it, until garbage was looked for twice."""
    forget()  # what other tests asked for
    gc.collect()
    design, look_after = load(SAVED_DESIGNS / "boat_shed.toml"), 20
    before, others, held = assess(design), alive(Run), []
    for number in range(1, 121):
        *more, last = design.runs
        longer = replace(last, pieces=(Straight(length=make(1.0 + number % 7, "length", "metric")), *last.pieces[1:]))
        before = assess(replace(design, runs=(*more, longer)), before)
        monkeypatch.setattr(gc, "get_count", lambda due=not number % look_after: (10_001 if due else 0, 0, 0))
        between_keys.collect_due()
        if not number % 40:
            held.append(alive(Run) - others)
    assert 0 < max(held) <= 2 * look_after


def alive(kind: type) -> int:
    return sum(type(one) is kind for one in gc.get_objects())
