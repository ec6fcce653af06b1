"""Sizes by local search: a good choice at once, one size up or down at a time; no proof that there is no better."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from random import Random

from engine.search.sizing.plant import Choice, Plant
from engine.search.sizing.rules import Answer

Worth = tuple[float, ...]
_SHAKEN = 0.25  # share of the runs that a fresh start moves
_SPEEDS = (1.0, 1.15, 1.3)  # how far above the slow limit sizes for the flows needed are aimed at


@dataclass(frozen=True, slots=True)
class Found:
    """A choice with its answers, how far it is off its rules in all, and its price."""

    choice: Choice
    answers: tuple[Answer, ...]
    off: float
    price: float

    @property
    def share(self) -> float:
        """What the neediest machine gets of its need."""
        return min((answer.share for answer in self.answers), default=0.0)

    @property
    def top(self) -> float:
        """The fastest speed in any run and gate set, m/s."""
        return max((answer.top for answer in self.answers), default=0.0)


def nearest(found: Found) -> Worth:
    """Rules and nothing else."""
    return (found.off,)


def cheapest(found: Found) -> Worth:
    """Rules before price before what the neediest gets."""
    return found.off, found.price, -found.share


def strongest(found: Found) -> Worth:
    """Rules before what the neediest gets."""
    return found.off, -round(found.share, 4), found.price


def quietest(found: Found) -> Worth:
    """Rules before the top speed."""
    return found.off, round(found.top, 2), found.price


# What a choice is worth, the least first.
Aim = Callable[[Found], Worth]


def look(plant: Plant, choice: Choice) -> Found:
    """What a choice gives."""
    answers = plant.answers(choice)
    off = sum(answer.off for answer in answers) + plant.widenings(choice)
    return Found(choice, tuple(answers), off if off > 1e-9 else 0.0, plant.price(choice))


def search(plant: Plant, aim: Aim, start: Choice | None = None, starts: int = 6, seed: int = 1) -> Iterator[Found]:
    """The best found so far, again and again, until nothing near several starts is better.

    The starts are `start`, or else today's sizes, then those for the flows
    needed, the largest ones, and shaken ones of the best.
    """
    rng = Random(seed)
    best: Found | None = None
    for begin in _starts(plant, start, starts, rng, lambda: best):
        now = look(plant, begin)
        for now in _descended(plant, now, aim, rng):
            if best is None or aim(now) < aim(best):
                best = now
            yield best
        if best is None or aim(now) < aim(best):
            best = now
        yield best


def _starts(plant: Plant, start: Choice | None, count: int, rng: Random, best: Callable[[], Found | None]) -> Iterator[Choice]:
    yield start or plant.today()
    if start is None:
        yield from dict.fromkeys(by_speed(plant, factor) for factor in _SPEEDS)
        yield plant.narrowed([len(options) - 1 for options in plant.options])
    for _ in range(count):
        yield _shaken(plant, best().choice, rng)


def _descended(plant: Plant, now: Found, aim: Aim, rng: Random) -> Iterator[Found]:
    """Better and better choices by single moves, the first better one taken."""
    improved = True
    while improved:
        improved = False
        moves = list(_moves(plant, now.choice))
        rng.shuffle(moves)
        for choice in moves:
            found = look(plant, choice)
            yield now
            if aim(found) < aim(now):
                now, improved = found, True
                yield now
                break
    yield now


def _moves(plant: Plant, choice: Choice) -> set[Choice]:
    """One size up or down: of a run, of its way to the collector, of all beyond it; nothing then widens outward."""
    found = set()
    for i in range(len(choice)):
        way, at = [i], i
        while plant.parent[at] >= 0:
            at = plant.parent[at]
            way.append(at)
        beyond = [i]
        for kid in beyond:
            beyond.extend(plant.children[kid])
        for group in ((i,), way, beyond):
            for step in (+1, -1):
                made = list(choice)
                for run in group:
                    made[run] = min(max(made[run] + step, 0), len(plant.options[run]) - 1)
                found.add(plant.widened(plant.narrowed(made)) if step < 0 else plant.narrowed(plant.widened(made)))
    found.discard(choice)
    return found


def by_speed(plant: Plant, factor: float) -> Choice:
    """The widest sizes that are fast enough, by a factor, at the flows needed, whatever gate set has least of them."""
    made = []
    for i, options in enumerate(plant.options):
        flow = min((needed for at in range(len(plant.sets)) if (needed := _needed(plant, at, i)) > 0), default=0.0)
        slow = factor * plant.look.limits[plant.runs[i]].slow
        fits = [k for k, option in enumerate(options) if flow >= slow * 0.7854 * option.bore**2]
        made.append(max(fits, default=0))
    return plant.widened(plant.narrowed(plant.widened(made)))


def _needed(plant: Plant, at: int, run: int) -> float:
    """The flow needed through a run in a gate set, m3/s."""
    return sum(plant.tree.ports[port].needs.si for port in plant.open[at] if run in plant.way_to(port))


def _shaken(plant: Plant, choice: Choice, rng: Random) -> Choice:
    made = [min(max(k + rng.choice((-1, 1)), 0), len(plant.options[i]) - 1) if rng.random() < _SHAKEN else k for i, k in enumerate(choice)]
    return plant.widened(plant.narrowed(made))
