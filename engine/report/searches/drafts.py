"""Layouts drafted anew, as plain text that fits 80 columns, and as JSON in SI base units."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from engine.design import Design
from engine.report.pen import headed, json_text, numbered, page, standing_json, wrapped
from engine.search.proposals import Proposal
from engine.search.ranking import IN_WORDS


def as_text(design: Design, found: Sequence[Proposal]) -> str:
    """The layouts, best first, each with its reason."""
    return page([headed(design), wrapped(IN_WORDS), *(numbered(number, one) for number, one in enumerate(found, 1))])


def as_json(design: Design, found: Sequence[Proposal]) -> str:
    """The layouts, best first, as JSON text: how each stands, and the size of every run."""
    return json_text(design, drafts=[_draft_json(one) for one in found])


def _draft_json(one: Proposal) -> dict[str, Any]:
    sizes = {run.id: run.size for run in one.design.runs}
    return {"title": one.title, "reason": one.reason, "standing": standing_json(one.standing), "sizes": sizes}
