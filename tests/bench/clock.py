"""Timing of a call."""

from __future__ import annotations

from collections.abc import Callable
from math import inf
from time import perf_counter


def seconds(call: Callable[[], object], most: float = 0.5, clock: Callable[[], float] = perf_counter) -> float:
    """The shortest of repeated calls, after one that is not counted; repeats for about `most` s, at least 3 times."""
    call()
    shortest, spent, times = inf, 0.0, 0
    while times < 3 or spent < most:
        start = clock()
        call()
        taken = clock() - start
        shortest, spent, times = min(shortest, taken), spent + taken, times + 1
    return shortest


def milliseconds(value: float) -> str:
    """To three digits or so."""
    return f"{value * 1e3:.3g}" if value < 1 else f"{value * 1e3:.0f}"
