"""With a system that falls short: which single change helps most, and which two together?

Every change that someone could make is tried on the design and solved anew, and
assessed as far as it may be worth offering; none is guessed. They are offered in the one order of `ranking`, upkeep apart.
"""

from engine.search.remedies.trials import changes, remedies, trial

__all__ = ["changes", "remedies", "trial"]
