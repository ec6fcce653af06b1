"""Layouts drafted anew, as plain text that fits 80 columns."""

from __future__ import annotations

from collections.abc import Sequence

from engine.design import Design
from engine.report.pen import numbered, page, wrapped
from engine.search.proposals import Proposal
from engine.search.ranking import IN_WORDS


def as_text(design: Design, found: Sequence[Proposal]) -> str:
    """The layouts, best first, each with its reason."""
    return page([wrapped(design.name), wrapped(IN_WORDS), *(numbered(number, one) for number, one in enumerate(found, 1))])
