"""Garbage is looked for between keys, among older things now and then."""

from __future__ import annotations

import gc

import pytest

from tui.terminal import between_keys


@pytest.mark.parametrize(
    ("counts", "looked"),
    [((20_000, 99, 99), []), ((20_001, 10, 10), [0]), ((20_001, 11, 10), [1]), ((20_001, 0, 11), [2]), ((20_001, 11, 11), [2])],
)
def test_what_is_looked_through_goes_by_what_was_made(monkeypatch, counts, looked):
    collected = []
    monkeypatch.setattr(gc, "get_count", lambda: counts)
    monkeypatch.setattr(gc, "collect", collected.append)
    between_keys.collect_due()
    assert collected == looked


def test_a_session_that_takes_many_edits_leaves_no_circles_behind():
    class Circle:
        alive = 0

        def __init__(self):
            Circle.alive += 1
            self.own = self

        def __del__(self):
            Circle.alive -= 1

    before = gc.get_threshold()
    gc.set_threshold(0)
    try:
        for _ in range(60_000):
            Circle()
            between_keys.collect_due()
        assert Circle.alive <= 20_001
    finally:
        gc.set_threshold(*before)
        gc.collect()
