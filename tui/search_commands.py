"""Commands that look for something better: each opens a page of proposals, computed beside the session."""

from __future__ import annotations

from tui import editing
from tui.command_base import Looking


class SearchRemedies(Looking):
    """Try every sensible single change, then pairs of the best, and list what helps the neediest machine most for its price."""

    keys = ("R",)
    label = "remedies"
    title = "what to change first"
    why_not = staticmethod(editing.why_not_together)


class SearchThrottles(Looking):
    """Where several machines work at once: which gate to leave how far open so that each gets what it needs."""

    keys = ("B",)
    label = "balance"
    title = "balance by gates left part open"
    why_not = staticmethod(editing.why_no_throttling)


SEARCHES = (SearchRemedies, SearchThrottles)
