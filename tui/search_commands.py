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


class SearchSizes(Looking):
    """Choose a size that the store has for every run, so that in every gate set each machine gets its air and no run is slow or fast."""

    keys = ("D",)
    label = "sizes"
    title = "sizes from what the store has"
    why_not = staticmethod(editing.why_not_together)


class SearchThrottledSizes(Looking):
    """Choose sizes for a shop that throttles every gate to its machine's need: the flows are then known beforehand."""

    title = "sizes where every gate is throttled"
    why_not = staticmethod(editing.why_not_together)


class SearchSubstitutes(Looking):
    """The store has not got the size that is selected, a run's or one of the stock: what to take instead, and what that does."""

    keys = ("n",)
    label = "not in store"
    title = "what to take instead of this size"
    why_not = staticmethod(editing.why_no_substitute)


SEARCHES = (SearchRemedies, SearchSizes, SearchSubstitutes, SearchThrottledSizes, SearchThrottles)
