"""The best sizes so far, as proposals."""

from __future__ import annotations

from dataclasses import field

from engine.catalog.limits import over
from engine.checks.assess import Assessment, assess
from engine.design import Design, gate_sets_of
from engine.design.meaning import stays
from engine.search.proposals import Proposal, Step, over_work, standing
from engine.search.ranking import Rank
from engine.search.sizing.conflict import in_words
from engine.search.sizing.local import AIMS, Found
from engine.search.sizing.plant import Choice, Plant
from engine.search.throttling import all_throttled, throttling
from engine.units.words import listed
from engine.values import dataclass

_MOST_NAMED = 3
_BETTER = {"cheapest": "cheaper", "least pipe": "less", "strongest": "stronger", "quietest": "quieter"}
# What tells nothing apart: in price, share of a need and speed (m/s).
_PRICE, _SHARE, _SPEED = 0.005, 5e-4, 0.01


@dataclass(slots=True)
class BestByAim:
    """The best choice by each aim so far, of all that were taken note of, and as proposals, each assessed once.

    `before` is the design as it is; `told` what was said before this search.
    """

    plant: Plant
    before: Assessment
    told: str
    best: dict[str, Found] = field(default_factory=dict)
    _made: dict[Choice, tuple[Design, Assessment]] = field(default_factory=dict)

    @property
    def met(self) -> bool:
        """Whether the best by price keeps every rule."""
        return self.best["cheapest"].off == 0.0

    def take(self, found: Found) -> bool:
        """Take note of a choice; whether it is better than all before by some aim."""
        better = [name for name, aim in AIMS.items() if name not in self.best or aim(found) < aim(self.best[name])]
        self.best |= dict.fromkeys(better, found)
        return bool(better)

    def step(self, done: int, of: int, said: str) -> Step:
        """The search as far as it has come."""
        return Step(done, of, self.told + said, self.proposals())

    def proposals(self) -> tuple[Proposal, ...]:
        """Each once, the best first; one that breaks rules only where faults show in fewer places and gate sets than today."""
        names: dict[Choice, list[str]] = {}
        for aim, found in self.best.items():
            if self.met or aim == "cheapest":
                names.setdefault(found.choice, []).append(self._name(aim, found))
        founds, faults = {found.choice: found for found in self.best.values()}, self.before.spread("fault")
        made = [(founds[choice], self._proposal(founds[choice], " and ".join(own))) for choice, own in names.items()]
        return tuple(one for found, one in sorted(made, key=_order) if self.met or self._assess(found.choice)[1].spread("fault") < faults)

    def _name(self, aim: str, found: Found) -> str:
        """What the best by an aim is called: where the design as it is is better by that, this is said too."""
        name = cheapest_name(self.plant) if aim == "cheapest" else aim
        better = not found.off and self._is_today_better(aim, found)
        return f"{name} (today's is {_BETTER[name]})" if better else name

    def _is_today_better(self, aim: str, found: Found) -> bool:
        if aim == "cheapest":
            return self._is_today_cheaper(found)
        if aim == "strongest":
            share = standing(self.before).share
            return share is not None and share > found.share + _SHARE
        top = _top_speed(self.before)
        return top is not None and top < found.top - _SPEED

    def _is_today_cheaper(self, found: Found) -> bool:
        """By price; by the surface of the pipe only where every size of today's is one to choose from."""
        if not self.plant.prices.by_surface:
            return standing(self.before).price < standing(self._assess(found.choice)[1]).price - _PRICE
        choices = self.plant.choices
        today = choices.today()
        known = all(old.size == new.size for old, new in zip(choices.design.runs, choices.design_of(today).runs, strict=True))
        return known and self.plant.prices.total(today) < found.price - _PRICE

    def _proposal(self, found: Found, name: str) -> Proposal:
        design, assessment = self._assess(found.choice)
        called = "nearest to the rules" if found.off else f"{name}{', no faults' if self.plant.answers.lenient else ''}"
        other = sum(old.size != new.size for old, new in zip(self.plant.choices.design.runs, design.runs, strict=True))
        title = f"{called}: {f'{other} of {len(design.runs)} runs changed' if other else 'as they are'}"
        return over_work(self.before.design, Proposal(title, self._reason(found), design, standing(assessment)))

    def _assess(self, choice: Choice) -> tuple[Design, Assessment]:
        if choice not in self._made:
            design = self.plant.choices.design_of(choice)
            if self.plant.throttled:
                design = with_gates_throttled(design)
            self._made[choice] = design, assess(design, self.before)
        return self._made[choice]

    def _reason(self, found: Found) -> str:
        speed = f"fastest run {self._fastest(found.top)}{left_alone(self.plant)}"
        broken = [rule for answer in found.answers for rule, _ in sorted(answer.broken, key=lambda pair: -pair[1])]
        if not broken:
            return f"{'free of faults, not of cautions' if self.plant.answers.lenient else 'keeps every rule'}; {speed}"
        more = f" and {len(broken) - _MOST_NAMED} more" if len(broken) > _MOST_NAMED else ""
        return f"breaks: {in_words(self.plant, broken[:_MOST_NAMED])}{more}; {speed}"

    def _fastest(self, speed: float) -> str:
        """A speed beside that of today's fastest run, and beside what is fast where it is that too."""
        look, today = self.plant.choices.look, _top_speed(self.before)
        limit = max(band.fast.value for band in look.limits.values())
        told = look.show(speed, "speed")
        told += "" if today is None else f", today's {look.show(today, 'speed')}"
        return f"{told}, where {look.about(limit, 'speed')} or slower is wanted" if over(speed, limit) else told


def _top_speed(assessment: Assessment) -> float | None:
    """The fastest speed in any run and gate set, m/s; None where a set has no answer."""
    balances = [result.balance for result in assessment.sets]
    speeds = [state.velocity for balance in balances if balance for state in balance.runs.values() if state.carries]
    return max(speeds, default=0.0) if all(balances) else None


def _order(one: tuple[Found, Proposal]) -> tuple[tuple[int, ...], float, Rank]:
    """As all designs are, but of those with as many fast runs the slowest first."""
    found, rank = one[0], one[1].standing.rank
    return rank.conditions, round(found.top, 1) if rank.fast else 0.0, rank


def with_gates_throttled(design: Design) -> Design:
    """The design with the gates of every set of several machines throttled so that each gets its need, where that can be."""
    several = [gate_set.name for gate_set in gate_sets_of(design) if len(gate_set.open) > 1]
    return all_throttled(design, [throttling(design, name) for name in several])


def cheapest_name(plant: Plant) -> str:
    """What the cheapest sizes are called."""
    return "least pipe" if plant.prices.by_surface else "cheapest"


def kept_as_they_are(plant: Plant) -> str:
    """That runs keep their size because work on them is done, or the design says so."""
    kept = [run.id for run in plant.choices.design.runs if run.size and stays(run)]
    every = "every run" if len(kept) == len(plant.choices.design.runs) else listed(kept, _MOST_NAMED)
    return f"; kept as they are: {every} (kept = no frees a run)" if kept else ""


def left_alone(plant: Plant) -> str:
    """That runs keep their size, since nothing is known of the air they are to carry."""
    kept = plant.choices.stays
    return f"; left as they are, no gate set draws through them: {listed(kept, _MOST_NAMED)}" if kept else ""
