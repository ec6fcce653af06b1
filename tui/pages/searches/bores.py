"""The page of stocked bores for a run: where each is neither slow nor fast, and the friction of a metre of it."""

from __future__ import annotations

from textual.content import Content

from engine.checks.assess import Assessment
from engine.report.chart import Signs, as_text
from tui.pages.frame.frame import SMALLEST
from tui.pages.reading.text import PageScreen

# Cells that the page's frame takes, and the widest text of a page (see text.tcss).
_MARGIN, _WIDEST = 4, 100


class BoresScreen(PageScreen):
    """A run among the bores it could have."""

    page_title = "stocked bores"
    smallest = SMALLEST
    help_text = (
        "The stocked bores beside that of the selected run: the line spans the flows at which each is neither slow nor fast, "
        "the rings are the run's own flows; below, speed and friction of each at some flows."
    )

    def __init__(self, assessment: Assessment, run: str) -> None:
        super().__init__()
        self._assessment, self._run = assessment, run

    def text(self) -> Content:
        """The chart, as wide as the terminal."""
        glyphs = self.session.glyphs
        signs = Signs(glyphs.dot, glyphs.flat, glyphs.left, glyphs.right, glyphs.marks["ring"])
        return Content("\n".join(as_text(self._assessment, self._run, min(self.app.size.width - _MARGIN, _WIDEST), signs)))
