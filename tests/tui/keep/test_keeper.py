"""When unsaved work is kept: once the time is up since the first change that is not kept, however many follow."""

from __future__ import annotations

from engine.files.design_file import load
from tests.shops.small_shop import set_length
from tui.keep.keeper import KEEP_AFTER, Keeper
from tui.work.document import Document


class Later:
    """What is to be done later, done when the test says so."""

    def __init__(self) -> None:
        self.waiting = []

    def __call__(self, seconds, action):
        self.waiting.append((seconds, action))
        return self

    def stop(self) -> None:
        """As a timer that has come to its end is stopped."""


def test_changes_wait_together_from_the_first_of_them_on(path):
    document, later = Document.open(path), Later()
    keeper = Keeper(document, later, complain=lambda text: None)
    for number in (1, 2):
        for length in ("1.5 m", "2.5 m", f"{number}.25 m"):
            set_length(document, length)
            keeper.changed()
        assert [seconds for seconds, _ in later.waiting] == [KEEP_AFTER] * number
        later.waiting[-1][1]()
        assert load(keeper.journal.path) == document.design
    keeper.close()
