"""The health and safety page: the cautions that apply to the design, with their sources."""

from __future__ import annotations

from textual.content import Content

from engine.checks import cautions
from engine.design import Design
from tui.pages.reading.text import PageScreen


class CautionsScreen(PageScreen):
    """What no computed figure covers, for the design at hand."""

    page_title = "health and safety"
    help_text = "What no figure about air covers: the cautions that hold for this design, each with its source."

    def __init__(self, design: Design) -> None:
        super().__init__()
        self._design = design

    def text(self) -> Content:
        """Each caution with its source."""
        parts: list[Content | str] = [cautions.PREFACE, "\n"]
        for caution in cautions.applying(self._design):
            parts += ["\n", Content.styled(caution.title, "bold"), "\n", caution.text(self._design), "\n"]
            parts += [Content.styled(f"Source: {caution.source}", "dim"), "\n"]
        return Content.assemble(*parts)
