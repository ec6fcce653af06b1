"""The search for sizes: local search at once, then proof, then what stands in the way where nothing keeps the rules."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from dataclasses import replace
from math import ceil

from engine.checks.assess import Assessment, assess
from engine.design import Design
from engine.search.proposals import Step
from engine.search.sizing import local
from engine.search.sizing.alone import is_alone, weigh
from engine.search.sizing.conflict import conflict, helpers, told
from engine.search.sizing.plant import Plant, plant_of
from engine.search.sizing.plant.rules import Rule
from engine.search.sizing.proof import Progress, prove
from engine.search.sizing.proposing import BestByAim, cheapest_name, kept_as_they_are, left_alone
from engine.units.words import counted, share_text

# Fresh starts of local search for the cheapest, and for each other aim from there.
_STARTS, _FURTHER_STARTS = 12, 2
# So many choices looked at go by between two steps.
_LOCAL_CHOICES, _WEIGHED_CHOICES = 50, 500


def sizes(design: Design, assessment: Assessment | None = None, *, throttled: bool = False, margin: float = 0.0) -> Iterator[Step]:
    """Search sizes for every run of a consistent design; the last step says how good its answer is.

    Every machine is to get its need and a `margin`, a share of it, more. `throttled`: for a shop that throttles every gate to its need. `assessment`
    is the design's, where it is known.
    """
    before = assessment or assess(design)
    if not before.tree.leaf_of:
        yield Step(1, 1, "no run leads to a machine", ())
        return
    said = ""
    for lenient in (False, True):
        plant = plant_of(design, share=None if lenient else 1.0 + margin, lenient=lenient, throttled=throttled)
        if lenient:
            least = share_text(plant.answers.flows.share)
            said += "What follows asks only for what keeps the design free of faults: "
            said += f"nothing settles, and each machine gets {least} of its need; runs may be slow or fast.\n"
        best = BestByAim(plant, before, said)
        rules = yield from _search(plant, best)
        if best.met:
            return
        what = "even those that keep it free of faults" if lenient else "every rule"
        if not rules:
            said += f"No sizes found that keep {what}, and no proof that there are none.\n"
            continue
        alone = left_alone(plant) + kept_as_they_are(plant)
        said += f"No choice of stocked sizes keeps {what}, {plant.answers.flows.scope}{alone}. These cannot be met together:\n{told(plant, rules)}"
        if lenient:
            yield from _openings_that_help(plant, rules, replace(best, told=said))


def _search(plant: Plant, best: BestByAim) -> Generator[Step, None, tuple[Rule, ...]]:
    """A whole search; returns the requirements that conflict, where it is known that some do."""
    yield from _search_locally(plant, best)
    if is_alone(plant.choices) and not plant.throttled:
        yield from _weigh_all(plant, best)
        if best.met:
            return ()
    cheapest = best.best["cheapest"]
    if plant.unprovable:
        found = f"the {cheapest_name(plant)}" if best.met else "the nearest to the rules"
        yield best.step(1, 1, f"{found} that local search came to; no proof, since {plant.unprovable}")
        return ()
    rules: tuple[Rule, ...] = ()
    for progress in prove(plant, cheapest if best.met else None, cheapest.choice):
        if progress.best is not None:
            best.take(progress.best)
        rules = conflict(plant, progress.cuts) if progress.impossible else ()
        ended = int(progress.done and not progress.impossible)
        yield best.step(ended, ended, _bound_in_words(plant, progress))
    return rules


def _search_locally(plant: Plant, best: BestByAim) -> Iterator[Step]:
    """The best by each aim that local search comes to, each from the best so far; where no choice keeps the rules, the nearest."""
    for name, aim in local.AIMS.items():
        first = not best.best
        if not first and not best.met:
            return
        start = None if first else best.best[name].choice
        for count, found in enumerate(local.search(plant, aim, start, starts=_STARTS if first else _FURTHER_STARTS)):
            if best.take(found) or count % _LOCAL_CHOICES == 0:
                what = cheapest_name(plant) if name == "cheapest" else name
                yield best.step(0, 0, f"looking for the {what}: {plant.answers.solved} gate sets solved")


def _weigh_all(plant: Plant, best: BestByAim) -> Iterator[Step]:
    choice = None
    for count, weighed in enumerate(weigh(plant)):
        choice = weighed
        if count % _WEIGHED_CHOICES == _WEIGHED_CHOICES - 1:
            yield best.step(0, 0, f"weighing every choice: {plant.answers.solved} gate sets solved")
    if choice is not None:
        best.take(local.look(plant, choice))
        yield best.step(1, 1, f"{cheapest_name(plant)} there is{_by_surface(plant)}: one machine works at a time, and every choice was weighed")


def _openings_that_help(plant: Plant, rules: tuple[Rule, ...], best: BestByAim) -> Iterator[Step]:
    """Which gate opened too would free a conflict."""
    useful: list[str] = []
    for trial, helped in enumerate(helpers(plant, rules), 1):
        if helped:
            useful.append(f"that of {helped[1]} with {helped[0]}")
        yield best.step(0, 0, f"looking which gate opened too would help: {trial} tried")
    freed = "No one gate opened too would free them: one of them has to give way."
    if useful:
        freed = f"They can be met with one gate more open: {'; or '.join(useful)}. Else one of them has to give way."
    yield best.step(1, 1, freed)


def _bound_in_words(plant: Plant, progress: Progress) -> str:
    scope = f"proven {plant.answers.flows.scope}; checked with the full law"
    if progress.best is None:
        return f"{counted(len(progress.cuts), 'set')} of sizes excluded; none found yet that keeps every rule"
    if progress.done:
        return f"{cheapest_name(plant)} there is{_by_surface(plant)}: {scope}"
    over = progress.best.price / progress.bound - 1 if progress.bound > 0 else 1.0
    return f"within {ceil(1000 * over) / 10:.1f} % of the least possible{_by_surface(plant)}, {scope}"


def _by_surface(plant: Plant) -> str:
    return ", by its surface, since a size has no price" if plant.prices.by_surface else ""
