"""The least that would do: the weakest collector with which every machine at work gets its need.

At today's ducts it is known by their duties: each machine has its need, and
no more is asked. With other bores from the store
it is sought: the present collector's pressures are multiplied by a factor, and
the factor is halved in on below which local search finds no sizes that keep
every need, widen nowhere outward and let nothing settle. That is no proof that
there are none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from engine.design import Collector, Design
from engine.search.collectors.duty import Duty, duties, worst
from engine.search.sizing import local
from engine.search.sizing.plant import plant_of
from engine.units import Quantity
from engine.values import dataclass

_CLOSE = 0.02  # factors nearer than this are one: less than a data sheet is sure of
_LEAST, _FIRST, _MOST = 0.25, 1.0, 8.0
_STARTS = 2


@dataclass(frozen=True, slots=True)
class Least:
    """The weakest collector found so far: `factor` times the pressures of the design's curve, with a loaded filter, and with what ducts.

    `duties` are those of `design`, which has today's ducts or other bores: with
    these no machine asks for more, but chips may.
    `said` tells how far the search has come, `done` that it is over.
    """

    design: Design
    duties: tuple[Duty, ...]
    factor: float
    said: str
    done: bool


def binding(found: Sequence[Duty]) -> tuple[Duty, ...]:
    """The duties that a curve must pass above, by rising flow: any falling curve that does so passes above all."""
    kept: list[Duty] = []
    for duty in sorted((one for one in found if not one.trouble), key=lambda one: (-one.flow, -one.loaded)):
        if not kept or duty.loaded > kept[-1].loaded:
            kept.append(duty)
    return tuple(reversed(kept))


def stronger(collector: Collector, factor: float) -> Collector:
    """A collector that gives `factor` times the pressures of this one's curve at the same flows."""

    def times(pressure: Quantity) -> Quantity:
        return Quantity(factor * pressure.si, f"{factor * pressure.si:g} Pa")

    curve = tuple(replace(point, pressure=times(point.pressure)) for point in collector.curve)
    return replace(collector, curve=curve, max_suction=collector.max_suction and times(collector.max_suction))


def least_at_todays_ducts(design: Design, margin: float = 0.0) -> Least | None:
    """The least collector for the ducts as they are; None where some gate set has no duty."""
    found = duties(design, margin)
    hardest = worst(found)
    if hardest is None or any(duty.trouble for duty in found):
        return None
    return Least(design, found, hardest.lacks, "the ducts as they are", True)


def least_with_other_sizes(design: Design, margin: float = 0.0) -> Iterator[Least]:
    """The least collector with sizes from the store, weaker and weaker; nothing where even the strongest tried finds none."""
    factor, low, high, best = _FIRST, _LEAST, _MOST, None
    while high / low > 1.0 + _CLOSE:
        if sized := _sized(design, factor, margin):
            high, best = factor, Least(sized, duties(sized, margin), factor, "other sizes from the store", False)
            yield best
        else:
            low = factor
        factor = (low * high) ** 0.5
    if best:
        yield replace(best, done=True)


def _sized(design: Design, factor: float, margin: float) -> Design | None:
    """Sizes with which a collector of `factor` times the pressures, its filter loaded, gives every machine its need; None where none is found."""
    tried = replace(design, collector=replace(stronger(design.collector, factor), filter="dirty"))
    plant = plant_of(tried, share=1.0 + margin, lenient=True)
    for found in local.search(plant, local.nearest, starts=_STARTS):
        if not found.off:
            return replace(plant.choices.design_of(found.choice), collector=design.collector)
    return None
