"""Whether other stocked sizes could free a draft of its faults: proven by the search for sizes, found, or not known after a while."""

from __future__ import annotations

from time import monotonic

from engine.search.layouts.drafting import Draft, in_sizes_of, order
from engine.search.sizing.plant import plant_of
from engine.search.sizing.proof import prove

# So long is tried, s: judgement.
_SECONDS = 2.0
_NOT_PROVEN = "Not proven impossible: bores and layouts were searched, not all tried."


def proven(one: Draft) -> tuple[Draft, str]:
    """The draft, or itself in sizes that free it of faults where the proof came upon some; and what is known of others, in words."""
    plant = plant_of(one.design, lenient=True)
    if plant.unprovable:
        return one, f"Not proven impossible, since {plant.unprovable}: bores and layouts were searched, not all tried."
    ends = monotonic() + _SECONDS
    for progress in prove(plant, None, plant.choices.today()):
        if progress.impossible:
            return (
                one,
                f"Proven {plant.answers.flows.scope}: no choice of stocked sizes frees this layout of faults; others were searched, not all tried.",
            )
        if progress.best is not None:
            return min(one, in_sizes_of(one, plant.choices.design_of(progress.best.choice)), key=order), _NOT_PROVEN
        if monotonic() > ends:
            break
    return one, _NOT_PROVEN
