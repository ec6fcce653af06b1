"""What is computed beside the session, in a thread that nothing waits for: a session that is left ends at once, however long a step is."""

from __future__ import annotations

from collections.abc import Callable
from contextvars import copy_context
from threading import Event, Thread

Dropped = Callable[[], bool]


class Beside:
    """The one computation of a page at a time: the next one drops the one before."""

    def __init__(self) -> None:
        self._dropped = Event()

    def begin(self, work: Callable[[Dropped], None], fail: Callable[[Exception], None]) -> None:
        """Drop what goes on, and begin `work`: it asks between two steps whether it is dropped. An error of it goes to `fail`, in its thread."""
        self.drop()
        dropped = self._dropped = Event()

        def carry_out() -> None:
            try:
                work(dropped.is_set)
            except Exception as error:
                if not dropped.is_set():
                    fail(error)

        Thread(target=copy_context().run, args=(carry_out,), daemon=True, name="beside").start()

    def drop(self) -> None:
        """Have what goes on end after its step."""
        self._dropped.set()
