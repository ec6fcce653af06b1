"""A question of the interview in full."""

from __future__ import annotations

from collections.abc import Callable

from engine.survey.answers import Answers
from engine.values import dataclass
from tui.pages.interview.rows import Row, radio


@dataclass(frozen=True, slots=True)
class Sheet:
    """What is asked, a warning where there is one, and its rows; `start` is the row to begin at.

    `paste` takes several lines at once, where the rows are lines.
    """

    title: str
    words: str
    rows: tuple[Row, ...]
    warning: str = ""
    start: int = 0
    paste: Callable[[str], tuple[Answers, str]] | None = None


def chosen(rows: tuple[Row, ...]) -> int:
    """The row that is chosen of several, the first where none is."""
    return next((i for i, row in enumerate(rows) if row.mark == radio(True)), 0)
