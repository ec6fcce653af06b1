"""Waiting for a state. Time is only the limit after which a test gives up, far more than a busy machine takes."""

from __future__ import annotations

import signal
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

LIMIT = 60.0  # seconds
LOOK = 0.005  # seconds between two looks


class Hang(BaseException):
    """Something took too long; no handler of ordinary errors may take it for one."""


def wait_until(holds: Callable[[], bool], meanwhile: Callable[[], object] = lambda: time.sleep(LOOK), shown: Callable[[], str] = str) -> None:
    """Look again and again whether something holds, doing something `meanwhile`; what was `shown` is told when it never does."""
    ends = time.monotonic() + LIMIT
    while not holds():
        if time.monotonic() > ends:
            raise AssertionError(f"not within {LIMIT} s\n{shown()}")
        meanwhile()


@contextmanager
def no_hang(seconds: float = LIMIT) -> Iterator[None]:
    """Raise Hang from what follows once it has had so many seconds of processor time."""

    def hang(*_: object) -> None:
        raise Hang(f"more than {seconds:g} s")

    before = signal.signal(signal.SIGPROF, hang)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


@contextmanager
def no_block(seconds: float = LIMIT) -> Iterator[None]:
    """Raise Hang from what follows once it has waited so long, as for a pipe that nobody writes to."""

    def hang(*_: object) -> None:
        raise Hang(f"waited for {seconds:g} s")

    before = signal.signal(signal.SIGALRM, hang)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
