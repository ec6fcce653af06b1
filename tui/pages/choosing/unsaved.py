"""What to do with work that a session left behind unsaved. Leaving the page leaves the work."""

from __future__ import annotations

from datetime import datetime, timedelta

from engine.design.differences import summary
from tui.keep.journal import LeftBehind
from tui.keep.keeper import Keeper
from tui.pages.choosing.choose import ChooseScreen
from tui.work.asking import Choice
from tui.work.document import Document

_SLACK = timedelta(minutes=1)
TAKE, LEAVE, DELETE = "take", "leave", "delete"


class UnsavedScreen(ChooseScreen):
    """Take the work, leave it or delete it; taking it, which loses nothing, stands first."""

    typing = False
    help_text = "A session on this design ended before its work was saved. Taken, it is one step that undo takes back; left, it is offered again."

    def __init__(self, left: LeftBehind, keeper: Keeper) -> None:
        """`keeper` of the design that the work was left behind on."""
        document = keeper.document
        choices = (
            Choice("take it", TAKE, described(document, left)),
            Choice("leave it", LEAVE, "it is offered again at the next opening"),
            Choice("delete it", DELETE, "for good"),
        )
        super().__init__(f"unsaved work on {document.path.name if document.path else 'a new design'}", choices, self._answered)
        self._left, self._keeper = left, keeper

    def _answered(self, answer: str) -> None:
        if answer == TAKE:
            self.session.attempt(lambda: self._keeper.take(self._left))
        elif answer == DELETE:
            self._keeper.delete(self._left)


def described(document: Document, left: LeftBehind, now: datetime | None = None) -> str:
    """What differs from the design as it now is, and the last edit: "3 runs changed; last edit: bore of main, 12:03".

    Which of several it is, and what its time says beside the file's, unless one of them is ahead of the clock.
    """
    now = now or datetime.now()
    when = left.when.strftime("%H:%M" if left.when.date() == now.date() else "%d %b %Y %H:%M")
    last = f"last edit: {left.last_edit}, {when}" if left.last_edit else f"last edit at {when}"
    written = document.written
    if left.when > now + _SLACK:
        last += ", which is ahead of the clock"
    elif written is not None and left.when < written <= now + _SLACK:
        last += "; the file was written after that"
    which = f"{left.rank} of {left.count}, the newest first: " if left.count > 1 else ""
    return f"{which}{summary(document.design, left.design)}; {last}"
