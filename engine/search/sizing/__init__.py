"""Bores from what the store has: the cheapest, strongest and quietest sizes at the true balance of every gate set.

The rules: every machine at work gets all of its need, and the margin asked
for, every run that carries air is neither slow nor fast, nothing widens
outward. Each run keeps its family of pipe. Where no choice keeps all that, the
smallest set of requirements that conflict is told, and the search begins anew
with rules that only keep the design free of faults: in no run may the load
settle, and 90 % of a need will do (the field's tolerance, see the finding
starved-machine). Where no choice keeps even those, the nearest is shown.

Each choice looked at on the way is held against the best by price, by what the
neediest machine gets and by the top speed, so that no name is given to one
while a better one was found.
"""

from engine.search.sizing.search import sizes

__all__ = ["sizes"]
