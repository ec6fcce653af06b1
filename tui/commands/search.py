"""Commands that look for something better: each opens a page of proposals, computed beside the session."""

from __future__ import annotations

from tui.commands.base import Looking
from tui.work import editing


class SearchRemedies(Looking):
    """Try every sensible single change, then pairs of the best, and list what gains most for its work and price: air for the neediest machine, faults and cautions cleared."""

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


class SearchLayouts(Looking):
    """Lay ducts anew from where machines and collector stand, in several ways, best first: one takes the place of all ducts there are."""

    keys = ("L",)
    label = "layouts"
    title = "drafted layouts"
    why_not = staticmethod(editing.why_nothing_to_lay)


class SearchPlacement(Looking):
    """Find where the collector would stand best: ducts drafted and judged from every spot of a grid, shown on a map of the room."""

    keys = ("P",)
    label = "placement"
    title = "where the collector could stand"
    why_not = staticmethod(editing.why_nothing_to_lay)


SEARCHES = (SearchRemedies, SearchSizes, SearchLayouts, SearchPlacement, SearchSubstitutes, SearchThrottledSizes, SearchThrottles)
