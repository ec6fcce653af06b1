"""Bores from what the store has: the cheapest, strongest and quietest sizes at the true balance of every gate set.

The rules: every machine at work gets 90 % of its need or more (the field's
tolerance, see the finding starved-machine), every run that carries air is
neither slow nor fast, nothing widens outward. Each run keeps its family of
pipe. Where no choice keeps all that, the smallest set of requirements that
conflict is told, and the search begins anew with rules that only keep the
design free of faults: in no run may the load settle. Where no choice keeps
even those, the nearest is shown.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

from engine.checks.assess import Assessment, assess
from engine.design import Design
from engine.search.proposals import Proposal, Step, standing
from engine.search.sizing import local
from engine.search.sizing.alone import is_alone, weighed
from engine.search.sizing.conflict import conflict, helpers, in_words
from engine.search.sizing.local import Found
from engine.search.sizing.plant import Choice, Plant
from engine.search.sizing.proof import Progress, prove
from engine.search.sizing.rules import Rule
from engine.search.sizing.throttled import ThrottledPlant, with_gates_throttled

__all__ = ["sizes"]

_AIMS = {"cheapest": local.cheapest, "strongest": local.strongest, "quietest": local.quietest}
_MOST_BROKEN = 3


def sizes(design: Design, assessment: Assessment | None = None, *, throttled: bool = False) -> Iterator[Step]:
    """Search sizes for every run of a consistent design; the last step says how good its answer is.

    `throttled`: for a shop that throttles every gate to its need. `assessment`
    is the design's, where it is known.
    """
    before = assessment or assess(design)
    if not before.tree.leaf_of:
        yield Step(1, 1, "no run leads to a machine", ())
        return
    of_kind = ThrottledPlant if throttled else Plant
    said, shown = "", None
    for lenient in (False, True):
        plant = of_kind(design, lenient=lenient)
        shown = _Shown(plant, before, with_gates_throttled if throttled else lambda made: made)
        rules: tuple[Rule, ...] = ()
        for step, rules in _searched(plant, shown):
            yield replace(step, said=said + step.said)
        if shown.met:
            return
        what = "even those that keep it free of faults" if lenient else "every rule"
        if not rules:
            said += f"No sizes found that keep {what}, and no proof that there are none.\n"
            continue
        told = f"these cannot be met together: {in_words(plant, rules)}{_left_alone(plant)}"
        said += f"No choice of stocked sizes keeps {what}, {plant.scope}: {told}.\n"
        yield from _freed(plant, rules, shown, said) if lenient else ()


@dataclass(slots=True)
class _Shown:
    """The best by each aim so far, and as proposals, each assessed once."""

    plant: Plant
    before: Assessment
    finished: Callable[[Design], Design]
    best: dict[str, Found] = field(default_factory=dict)
    _made: dict[Choice, tuple[Design, Assessment]] = field(default_factory=dict)

    @property
    def met(self) -> bool:
        """Whether the best by price keeps every rule."""
        return self.best["cheapest"].off == 0.0

    def take(self, name: str, found: Found) -> bool:
        """Note the best by an aim; whether it is new."""
        known = self.best.get(name)
        if known is not None and known.choice == found.choice:
            return False
        self.best[name] = found
        return True

    def proposals(self) -> tuple[Proposal, ...]:
        """The cheapest first, each once; one that breaks rules only where it has fewer faults than today's."""
        names: dict[Choice, list[str]] = {}
        for name, found in self.best.items():
            names.setdefault(found.choice, []).append(self.plant.least if name == "cheapest" else name)
        made = (self._proposal(choice, " and ".join(own)) for choice, own in names.items())
        return tuple(one for one in made if self.met or one.standing.faults < self.before.count("fault"))

    def _proposal(self, choice: Choice, name: str) -> Proposal:
        found = next(found for found in self.best.values() if found.choice == choice)
        design, assessment = self._assessed(choice)
        called = "nearest to the rules" if found.off else f"{name}{', no faults' if self.plant.lenient else ''}"
        other = sum(old.size != new.size for old, new in zip(self.plant.design.runs, design.runs))
        title = f"{called}: {f'{other} of {len(design.runs)} runs changed' if other else 'as they are'}"
        return Proposal(title, self._reason(found), design, standing(assessment))

    def _assessed(self, choice: Choice) -> tuple[Design, Assessment]:
        if choice not in self._made:
            design = self.finished(self.plant.made(choice))
            self._made[choice] = design, assess(design, self.before)
        return self._made[choice]

    def _reason(self, found: Found) -> str:
        speed = f"fastest run {self.plant.look.show(found.top, 'speed')}{_left_alone(self.plant)}"
        broken = [rule for answer in found.answers for rule, _ in sorted(answer.broken, key=lambda pair: -pair[1])]
        if not broken:
            return f"{'free of faults' if self.plant.lenient else 'keeps every rule'}; {speed}"
        more = f" and {len(broken) - _MOST_BROKEN} more" if len(broken) > _MOST_BROKEN else ""
        return f"breaks: {in_words(self.plant, broken[:_MOST_BROKEN])}{more}; {speed}"


def _searched(plant: Plant, shown: _Shown) -> Iterator[tuple[Step, tuple[Rule, ...]]]:
    """Steps of a whole search, each with the requirements that conflict, once it is known that some do."""
    for step in _found_locally(plant, shown):
        yield step, ()
    if is_alone(plant) and type(plant) is Plant:
        for step in _answered_exactly(plant, shown):
            yield step, ()
        if shown.met:
            return
    cheapest = shown.best["cheapest"]
    if plant.unprovable:
        found = f"the {plant.least}" if shown.met else "the nearest to the rules"
        yield Step(1, 1, f"{found} that local search came to; no proof, since {plant.unprovable}", shown.proposals()), ()
        return
    for progress in prove(plant, cheapest if cheapest.off == 0.0 else None, cheapest.choice):
        if progress.best is not None:
            shown.take("cheapest", progress.best)
        rules = conflict(plant, progress.cuts) if progress.impossible else ()
        ended = int(progress.done and not progress.impossible)
        yield Step(ended, ended, _bound_in_words(plant, progress), shown.proposals()), rules


def _found_locally(plant: Plant, shown: _Shown) -> Iterator[Step]:
    """The best by each aim that local search comes to, the later ones from the cheapest; where no choice keeps the rules, the nearest."""
    for name, aim in _AIMS.items():
        start = shown.best["cheapest"].choice if shown.best else None
        if start and shown.best["cheapest"].off:
            return
        for count, found in enumerate(local.search(plant, aim, start, starts=6 if start is None else 2)):
            if shown.take(name, found) or count % 50 == 0:
                yield Step(0, 0, f"looking for the {plant.least if name == 'cheapest' else name}: {plant.solved} gate sets solved", shown.proposals())


def _answered_exactly(plant: Plant, shown: _Shown) -> Iterator[Step]:
    for count, choice in enumerate(weighed(plant)):
        if count % 500 == 499:
            yield Step(0, 0, f"weighing every choice: {plant.solved} gate sets solved", shown.proposals())
    if choice is None:
        return
    shown.take("cheapest", local.look(plant, choice))
    yield Step(1, 1, f"{plant.least} there is{_counted(plant)}: one machine works at a time, and every choice was weighed", shown.proposals())


def _left_alone(plant: Plant) -> str:
    """That runs keep their size, since nothing is known of the air they are to carry."""
    kept = [plant.runs[i] for i in sorted(plant.idle) if len(plant.options[i]) == 1]
    more = f" and {len(kept) - _MOST_BROKEN} more" if len(kept) > _MOST_BROKEN else ""
    return f"; left as they are, no gate set draws through them: {', '.join(kept[:_MOST_BROKEN])}{more}" if kept else ""


def _counted(plant: Plant) -> str:
    return ", by its surface, since a size has no price" if plant.by_surface else ""


def _bound_in_words(plant: Plant, progress: Progress) -> str:
    scope = f"proven {plant.scope}; checked with the full law"
    if progress.best is None:
        return f"{len(progress.cuts)} sets of sizes excluded; none found yet that keeps every rule"
    if progress.done:
        return f"{plant.least} there is{_counted(plant)}: {scope}"
    over = 100 * (progress.best.price / progress.bound - 1) if progress.bound > 0 else 100.0
    return f"within {over:.1f} % of the least possible{_counted(plant)}, {scope}"


def _freed(plant: Plant, rules: tuple[Rule, ...], shown: _Shown, said: str) -> Iterator[Step]:
    """Which gate opened too would free a conflict."""
    useful: list[str] = []
    for trial, helped in enumerate(helpers(plant, rules), 1):
        if helped:
            useful.append(f"{helped[1]} with {helped[0]}")
        yield Step(0, 0, f"{said}looking which gate opened too would help: {trial} tried", shown.proposals())
    freed = f"They can be met with one gate more open: {'; or '.join(useful)}." if useful else "No one gate opened too would free them."
    yield Step(1, 1, said + freed, shown.proposals())
