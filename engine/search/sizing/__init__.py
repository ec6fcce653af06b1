"""Bores from what the store has: the cheapest, strongest and quietest sizes at the true balance of every gate set.

The rules: every machine at work gets 90 % of its need or more (the field's
tolerance, see the finding starved-machine), every run that carries air is
neither slow nor fast, nothing widens outward. Each run keeps its family of
pipe. Where no choice keeps all that, the smallest set of requirements that
conflict is told, and the search begins anew with rules that only keep the
design free of faults: in no run may the load settle. Where no choice keeps
even those, the nearest is shown.
"""

from engine.search.sizing.search import sizes

__all__ = ["sizes"]
