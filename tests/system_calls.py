"""Calls of the system made by a piece of work: each can be made to fail, or to be the last thing the process does."""

from __future__ import annotations

import errno
import io
import os
import signal
import sys
from collections.abc import Callable, Iterator
from types import FrameType
from typing import Any


def _before_each_call(happens: Callable[[], None]) -> Callable[[FrameType, str, Any], None]:
    """A profiler that has something happen before each call of the system or of an open file."""

    def profiler(_: FrameType, event: str, function: Any) -> None:
        if event == "c_call" and (function.__module__ == os.open.__module__ or isinstance(function.__self__, io.IOBase)):
            happens()

    return profiler


def _before_call(number: int, happens: Callable[[], None]) -> Callable[[FrameType, str, Any], None]:
    """A profiler that has something happen before the so-manieth call."""
    calls = 0

    def called() -> None:
        nonlocal calls
        calls += 1
        if calls == number:
            happens()

    return _before_each_call(called)


def stopped_before_each(work: Callable[[], object]) -> Iterator[int]:
    """The number of each call, while a process of its own that does the work stands still before it.

    What can be read meanwhile is what there would be were that call the last thing the process does.
    """
    process = os.fork()
    if process == 0:
        status = 1
        try:
            sys.setprofile(_before_each_call(lambda: os.kill(os.getpid(), signal.SIGSTOP)))
            work()
            sys.setprofile(None)
            status = 0
        finally:
            os._exit(status)
    number = 0
    try:
        while os.WIFSTOPPED(status := os.waitpid(process, os.WUNTRACED)[1]):
            number += 1
            yield number
            os.kill(process, signal.SIGCONT)
    except GeneratorExit:
        os.kill(process, signal.SIGKILL)
        os.waitpid(process, 0)
        raise
    assert os.waitstatus_to_exitcode(status) == 0


def killed_before(number: int, work: Callable[[], object]) -> bool:
    """Whether a process of its own that does the work dies before its so-manieth call."""
    process = os.fork()
    if process == 0:
        sys.setprofile(_before_call(number, lambda: os.kill(os.getpid(), signal.SIGKILL)))
        try:
            work()
        finally:
            os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(process, 0)[1]) == -signal.SIGKILL


def failing_at(number: int, work: Callable[[], object]) -> bool:
    """Do the work, its so-manieth call failing; whether there was such a call. Raises what the work raises."""
    failed = False

    def fail() -> None:
        nonlocal failed
        failed = True
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    before = sys.getprofile()
    sys.setprofile(_before_call(number, fail))
    try:
        work()
    finally:
        sys.setprofile(before)
    return failed
