"""When the journal of a document is brought up to date, and what other sessions have of it."""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic
from typing import Protocol

from tui.keep.journal import Journal, LeftBehind, delete
from tui.work.document import Document, unwatched

# Seconds after a change; from half of them on it is kept as soon as that makes no key wait.
KEEP_AFTER = 1.5
LOOK_AGAIN_AFTER = 15.0


class Waiting(Protocol):
    """Something that is done after a while, unless it is stopped before."""

    def stop(self) -> None:
        """Let it be."""


class Keeper:
    """Keeps one document: soon after a change, at once when it is saved, and again where it could not be kept."""

    def __init__(
        self, document: Document, later: Callable[[float, Callable[[], None]], Waiting], complain: Callable[[str], None],
        *, now: Callable[[], float] = monotonic,
    ) -> None:  # fmt: skip
        """`later`: have something done in so many seconds; `complain`: say that work cannot be kept, or had; `now`: a clock, s."""
        self.document = document
        self.journal = Journal(document)
        self._later, self._complain, self._now = later, complain, now
        self._changed = 0.0
        self._waiting: Waiting | None = None
        self._soon = False
        self.kept = False
        """Whether unsaved work was in the journal at the last look."""
        self.keep()  # seen by others before it looks for others: of two that start together one sees the other
        others = self.journal.others()
        self._left, self._sessions = list(others.left), others.sessions

    def changed(self) -> None:
        """The design has changed: keep it soon."""
        if not self._soon:
            self._wait(KEEP_AFTER)
            self._soon, self._changed = True, self._now()

    def keep_due(self) -> None:
        """Keep what has waited long enough: nobody else wants the time now."""
        if self._soon and self._now() - self._changed >= KEEP_AFTER / 2:
            self.keep()

    def saved(self) -> None:
        """The design is in its file: what was taken over is there too."""
        self.keep()
        self.journal.settle()

    def close(self) -> None:
        """The document is left: nothing is unsaved, or its owner lets it go."""
        self.document.watch = unwatched
        self._wait_no_longer()
        self.journal.close()

    def _wait(self, seconds: float) -> None:
        self._wait_no_longer()
        self._waiting = self._later(seconds, self.keep)

    def _wait_no_longer(self) -> None:
        if self._waiting is not None:
            self._waiting.stop()
        self._waiting, self._soon = None, False

    def keep(self) -> None:
        """Bring the journal up to date; while it holds work, look again later whether it is still there."""
        self._wait_no_longer()
        self.kept = False
        try:
            self.kept = self.journal.keep() is not None
        except OSError as error:
            if self.document.unsaved:
                self._complain(f"unsaved work cannot be kept: {error.strerror}; save it")
        if self.document.unsaved:
            self._wait(LOOK_AGAIN_AFTER)

    def next_left_behind(self) -> LeftBehind | None:
        """Work that a session left behind on this design, each once, the newest first."""
        return self._left.pop(0) if self._left else None

    def other_sessions(self) -> tuple[str, ...]:
        """The other sessions at work on this design, told once."""
        sessions, self._sessions = self._sessions, ()
        return sessions

    def take(self, left: LeftBehind) -> None:
        """Take over what was left behind, as a step. Raises Refused."""
        try:
            self.journal.take(left)
        except OSError as error:
            self._not_had(error)
            return
        self.document.apply("unsaved work taken over", left.design, as_it_is=True)
        self.keep()

    def delete(self, left: LeftBehind) -> None:
        """Remove what was left behind, for good."""
        try:
            delete(left)
        except OSError as error:
            self._not_had(error)

    def _not_had(self, error: OSError) -> None:
        self._complain(f"the unsaved work could not be had: {error.strerror}")
