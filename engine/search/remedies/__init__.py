"""With a system that falls short: which single change helps most, and which two together?

Every change that someone could make is tried on the design and assessed anew;
none is guessed. `effect` says how they are ranked.
"""

from engine.search.remedies.trials import changes, remedies, trial

__all__ = ["changes", "remedies", "trial"]
