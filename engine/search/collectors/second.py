"""A second, smaller collector on one group of machines: what it would ask, and what it would leave the first to do."""

from __future__ import annotations

from dataclasses import replace

from engine.checks.assess import Assessment, assess
from engine.design import Design, Run, gate_sets_of
from engine.design.meaning import beyond
from engine.design.places import MACHINES, RUNS
from engine.edits import delete
from engine.search.collectors.duty import Duty, duties, worst
from engine.search.proposals import Standing, standing
from engine.values import dataclass


@dataclass(frozen=True, slots=True)
class Split:
    """A group of machines taken off at a run: what the second collector must do, and how the rest stands without them.

    `machines` go to the second collector, at the inner end of `run`; `second`
    is its hardest duty, at the ducts beyond that run. `rest` is the design
    without them, `stands` how it stands, `lacks` how many times its pressure
    its collector must give.
    """

    run: str
    machines: tuple[str, ...]
    second: Duty
    rest: Design
    stands: Standing
    lacks: float


def splits(design: Design, assessment: Assessment | None = None) -> list[Split]:
    """Every group of machines that one run leads to, where two gate sets or more are left; what does most for the rest at least work first."""
    before = standing(assessment or assess(design))
    found = [split for run in design.runs[1:] if (split := _split(design, run))]
    helped = [split for split in found if split.stands.rank.conditions < before.rank.conditions]
    return sorted(helped, key=lambda split: (split.stands.rank.conditions, split.second.flow * split.second.pressure))


def _split(design: Design, run: Run) -> Split | None:
    taken = {run.id, *(one.id for one in beyond(design, run.id))}
    gone = tuple(dict.fromkeys(one.ends.split("/")[0] for one in design.runs if one.id in taken and one.ends))
    stay = {one.ends.split("/")[0] for one in design.runs if one.id not in taken and one.ends}
    if not gone or not stay or stay & set(gone):
        return None
    second = worst(duties(_alone(design, run, taken, set(gone))))
    rest = _without(design, run, set(gone))
    hardest = worst(duties(rest))
    if second is None or hardest is None:
        return None
    return Split(run.id, gone, second, rest, standing(assess(rest)), hardest.lacks)


def _alone(design: Design, run: Run, taken: set[str], machines: set[str]) -> Design:
    """The runs beyond an inner end as a design of their own, at a collector of the run's bore."""
    first = replace(run, joins="collector", as_=None, angle=None, toward=None, taper=None, loss=None)
    runs = tuple(first if one.id == run.id else one for one in design.runs if one.id in taken)
    return _of(replace(design, runs=runs), machines)


def _without(design: Design, run: Run, machines: set[str]) -> Design:
    after = delete(design, RUNS.row([one.id for one in design.runs].index(run.id)))
    for name in machines:
        after = delete(after, MACHINES.row([one.id for one in after.machines].index(name)))
    return _of(after, {one.id for one in after.machines})


def _of(design: Design, machines: set[str]) -> Design:
    """A design with these machines only, at work in the gate sets that have one of them."""
    sets = [replace(one, open=tuple(name for name in one.open if name in machines), throttle=()) for one in gate_sets_of(design)]
    kept = tuple(one for one in sets if one.open)
    return replace(design, machines=tuple(one for one in design.machines if one.id in machines), gate_sets=kept)
