"""The design tuned to its baseline beside the session, and the page that tells what moved."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from textual.content import Content

from engine.design import Design
from tui.pages.reading.text import PageScreen
from tui.terminal.beside import Dropped

if TYPE_CHECKING:
    from engine.field.tuning import Fit

# Cells that the page's frame takes, and the widest text of a page (see text.tcss).
_MARGIN, _WIDEST = 3, 100


def tuning(design: Design, done: Callable[[Fit | str], object]) -> Callable[[Dropped], None]:
    """The work of tuning a design, for beside the session: what was found, or why nothing was, is handed over."""

    def work(dropped: Dropped) -> None:
        from engine.field.tuning import Untunable, fit  # with SciPy, slow to load: not before it is wanted

        try:
            found: Fit | str = fit(design)
        except Untunable as reason:
            found = str(reason)
        if not dropped():
            done(found)

    return work


class TuningScreen(PageScreen):
    """What moved."""

    page_title = "tuned to the baseline"
    help_text = (
        "What the readings of the baseline moved, how far, and whether that can be believed. Everything that is solved goes by it now, and says so; "
        "u on the test sheet takes it back, T switches it off and on."
    )

    def __init__(self, found: Fit) -> None:
        super().__init__()
        self._found = found

    def text(self) -> Content:
        """Each factor in a line or two."""
        from engine.report.tuning import as_text

        return Content(as_text(self._found, min(self.app.size.width - _MARGIN, _WIDEST)))
