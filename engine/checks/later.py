"""What a design comes to later, that is not found of it as it stands: its filter loaded, its flows at the low end of their bands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from engine.air.band import Band
from engine.air.gate_sets import SetResult
from engine.air.one.ducts import area
from engine.catalog.limits import under
from engine.checks.assess import Assessment, assess
from engine.checks.conditions import Condition
from engine.design.kept import WHOLES, kept
from engine.values import dataclass


def faults_of_a_dirty_filter(assessment: Assessment) -> tuple[Condition, ...] | None:
    """The faults that are there with a dirty filter and not as the design stands; None where it is dirty, or no drop of a dirty one is told."""
    if (loaded := _loaded(assessment)) is None:
        return None
    today = {condition.about for condition in assessment.conditions if condition.severity == "fault"}
    return tuple(one for one in loaded.conditions if one.severity == "fault" and not one.accepted and one.about not in today)


def sets_of_a_dirty_filter(assessment: Assessment) -> tuple[str, ...]:
    """The gate sets that pass as the design stands, and do not with a dirty filter."""
    if (loaded := _loaded(assessment)) is None:
        return ()
    pairs = zip(assessment.sets, loaded.sets, strict=True)
    return tuple(now.gate_set.name for now, then in pairs if assessment.passes(now) and not loaded.passes(then))


@kept(WHOLES)
def _loaded(assessment: Assessment) -> Assessment | None:
    """The design with a dirty filter."""
    collector = assessment.design.collector
    if collector.filter == "dirty" or not any(loss.dirty is not None for loss in collector.losses):
        return None
    return assess(replace(assessment.design, collector=replace(collector, filter="dirty")), assessment)


@dataclass(frozen=True, slots=True)
class Doubtful:
    """A run in which chips stay in motion by the flow shown [m/s], and may settle by the `low` end of its band."""

    run: str
    gate_set: str
    low: float
    settles: float


def doubtful_runs(assessment: Assessment, banded: Sequence[tuple[SetResult, Mapping[str, Band]]]) -> Iterator[Doubtful]:
    """The runs to one port each of which only the band's low end is below settling; the slowest set of each."""
    look, found = assessment.look, dict[str, Doubtful]()
    for result, band in banded:
        for duct in assessment.tree.runs:
            state = result.balance.runs.get(duct.run) if result.balance else None
            if state is None or not state.carries or duct.port is None or duct.port not in band:
                continue
            section, settles = area(look.widest[duct.run].bore), look.limits[duct.run].settles.value
            low = band[duct.port].low / section
            if under(low, settles) and not under(state.flow / section, settles):
                one = Doubtful(duct.run, result.gate_set.name, low, settles)
                found[duct.run] = min(found.get(duct.run, one), one, key=lambda each: each.low)
    yield from found.values()
