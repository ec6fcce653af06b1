"""The collectors there are to choose from: each put into the design in place of its own, and judged by the one order of designs.

A choice gives what its data sheet tells. Its air and its filter are its own
throughout: where it has no density, the ordinary one holds, without a test duct
its inlet is that, and a filter area that is not given is not known. What its
sheet leaves out of the losses is as the present collector has it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from engine.air.one.ducts import area
from engine.checks.assess import Assessment, assess
from engine.design import Collector, CollectorChoice, Design
from engine.search.collectors.duty import filter_known
from engine.search.proposals import Proposal, Step, standing
from engine.search.ranking import Rank
from engine.search.sizing import local
from engine.search.sizing.plant import plant_of
from engine.units.words import counted, share_text
from engine.values import dataclass

# What the checks find of a data sheet.
_OF_THE_SHEET = ("free-air-only", "straight-curve", "impossible-curve", "rising-curve", "past-curve")
TOO_LITTLE = "its sheet gives neither a curve nor free air with largest suction, so no flow can be told"
_OWN = ("curve", "free_air", "max_suction", "density", "test_duct", "filter_area")


@dataclass(frozen=True, slots=True)
class Choice(Proposal):
    """A collector tried.

    `passed` of `of` gate sets are free of faults with the filter as it is;
    `loaded` is what the neediest machine gets of its need with a dirty filter;
    `slowest_main` [m/s] is the least speed in the first run of any set; `cost`
    is the collector's own, None where it has no price. `order` is the rank of
    the design with a dirty filter and the collector's price: what is bought
    has to do until the filter is cleaned, so choices stand in this order.
    """

    id: str
    passed: int
    of: int
    loaded: float | None
    slowest_main: float | None
    cost: float | None
    order: Rank


def is_known(one: Collector | CollectorChoice) -> bool:
    """Whether there is a curve, or what an estimate of one wants."""
    return bool(one.curve) or (one.free_air is not None and one.max_suction is not None)


def with_choice(design: Design, chosen: CollectorChoice) -> Design:
    """A design with a collector of its choices; the one before is then among these. Raises ValueError where its sheet tells too little."""
    if not is_known(chosen):
        raise ValueError(f"{chosen.id}: {TOO_LITTLE}")
    collector = design.collector
    own = {name: getattr(chosen, name) for name in _OWN}
    given = {name: getattr(chosen, name) for name in ("inlet", "basis", "losses") if getattr(chosen, name)}
    others = tuple(one for one in design.collector_choices if one.id != chosen.id)
    bought = replace(collector, name=chosen.id, **own, **given)
    return replace(design, collector=bought, collector_choices=(*others, _as_choice(design)), tuned=design.tuned.of_ducts)


def _as_choice(design: Design) -> CollectorChoice:
    """The collector that a design has, as one to choose."""
    collector, taken = design.collector, {one.id for one in design.collector_choices}
    name = collector.name or "the collector before"
    same = ("inlet", "basis", "losses", *_OWN)
    free = name if name not in taken else next(f"{name} {i}" for i in range(2, len(taken) + 3) if f"{name} {i}" not in taken)
    return CollectorChoice(id=free, **{field: getattr(collector, field) for field in same})


def choices(design: Design, assessment: Assessment | None = None, *, sized: bool = False) -> Iterator[Step]:
    """Try every choice of a design that is known well enough, best first; `sized`: each with other sizes where these are better."""
    before = assessment or assess(design)
    known = [one for one in design.collector_choices if is_known(one)]
    left_out = "".join(f"{one.id}: {TOO_LITTLE}. " for one in design.collector_choices if not is_known(one))
    found: list[Choice] = []
    for done, one in enumerate(known, 1):
        made = with_choice(design, one)
        tried = [_tried(design, before, one, ducts) for ducts in ((made, _with_sizes(made)) if sized else (made,))]
        found.append(min(tried, key=_order))
        found.sort(key=_order)
        yield Step(done, len(known), f"{left_out}{counted(done, 'choice')} tried", tuple(found))
    if not known:
        yield Step(1, 1, f"{left_out}The design names no collector to choose from.", ())


def _order(choice: Choice) -> Rank:
    return choice.order


def _tried(design: Design, before: Assessment, chosen: CollectorChoice, made: Design) -> Choice:
    assessment = assess(made, before)
    found = standing(assessment)
    passed = sum(assessment.passes(result) for result in assessment.sets)
    loaded = standing(assess(_dirty(made), assessment))
    changed = sum(old.size != new.size for old, new in zip(design.runs, made.runs, strict=True))
    title = f"{chosen.id}, {counted(changed, 'run')} in another size" if changed else chosen.id
    return Choice(
        title, _reason(assessment, chosen, passed, loaded.share), made, replace(found, price=found.price + (chosen.price or 0.0)),
        id=chosen.id, passed=passed, of=len(assessment.sets), loaded=loaded.share, slowest_main=_slowest_main(assessment), cost=chosen.price,
        order=loaded.rank._replace(price=loaded.rank.price + (chosen.price or 0.0)),
    )  # fmt: skip


def _reason(assessment: Assessment, chosen: CollectorChoice, passed: int, loaded: float | None) -> str:
    filter_told = "with a loaded filter" if filter_known(assessment.design) else "what a loaded filter takes is not told: without it"
    parts = [f"{passed} of {len(assessment.sets)} gate sets pass", f"{filter_told} the neediest machine gets {share_text(loaded)}"]
    if (slowest := _slowest_main(assessment)) is not None:
        parts.append(f"at least {assessment.look.show(slowest, 'speed')} in the main")
    parts.append(f"{chosen.price:.2f} of the price is its own" if chosen.price is not None else "it has no price")
    told = {one.code: one.message for one in assessment.findings if one.code in _OF_THE_SHEET}
    return "; ".join([", ".join(parts), *told.values()])


def _slowest_main(assessment: Assessment) -> float | None:
    """The least speed in any run that serves several ports, over all gate sets in which it draws; None where there is none."""
    look = assessment.look
    states = ((run, state) for result in assessment.sets if result.balance for run, state in result.balance.runs.items())
    speeds = (state.flow / area(look.widest[run].bore) for run, state in states if state.carries and look.served[run] > 1)
    return min(speeds, default=None)


def _dirty(design: Design) -> Design:
    return replace(design, collector=replace(design.collector, filter="dirty"))


def _with_sizes(design: Design) -> Design:
    """The cheapest sizes found with which a loaded filter leaves each machine its need and nothing settles; else the nearest to that."""
    plant = plant_of(_dirty(design), share=1.0, lenient=True)
    *_, best = local.search(plant, local.cheapest)
    return replace(plant.choices.design_of(best.choice), collector=design.collector)
