"""Sizes by local search: a good choice at once, one size up or down at a time; no proof that there is no better."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Mapping
from random import Random

from engine.search.sizing.plant import Choice, Choices, Plant
from engine.search.sizing.plant.rules import Answer
from engine.values import dataclass

Worth = tuple[float, ...]
_NOTHING = 1e-9  # off its rules by less than this, a choice keeps them
_SHAKEN = 0.25  # share of the runs that a fresh start moves
_AT_ONCE = 48  # moves solved together
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
AIMS: Mapping[str, Aim] = {"cheapest": cheapest, "strongest": strongest, "quietest": quietest}


def look(plant: Plant, choice: Choice) -> Found:
    """What a choice gives."""
    answers = plant.answers.every(choice)
    off = sum(answer.off for answer in answers) + plant.choices.widenings(choice)
    return Found(choice, tuple(answers), off if off > _NOTHING else 0.0, plant.prices.total(choice))


def search(plant: Plant, aim: Aim, start: Choice | None = None, starts: int = 12, seed: int = 1) -> Iterator[Found]:
    """Every choice looked at, until nothing near several starts is better; the best of them last.

    The first starts are `start`, or else today's sizes, those for the flows
    needed, and the largest ones; then come `starts` shaken ones of the best.
    `seed` is that of the shaking and of the order of moves: the same seed
    finds the same.
    """
    rng, choices = Random(seed), plant.choices
    best: Found | None = None
    for begin in [start] if start else _first_starts(choices):
        best = yield from _descend_below(plant, begin, aim, best, rng)
    for _ in range(starts):
        if best is not None:
            best = yield from _descend_below(plant, shaken(choices, best.choice, rng), aim, best, rng)
    if best is not None:
        yield best


def _first_starts(choices: Choices) -> Iterator[Choice]:
    yield choices.today()
    yield from dict.fromkeys(by_speed(choices, factor) for factor in _SPEEDS)
    yield choices.largest()


def _descend_below(plant: Plant, begin: Choice, aim: Aim, best: Found | None, rng: Random) -> Generator[Found, None, Found | None]:
    """Descend from a start, yielding what is looked at, and return the best; `best` is that of the starts before."""
    for found in descend(plant, look(plant, begin), aim, rng):
        if best is None or aim(found) < aim(best):
            best = found
        yield found
    return best


def descend(plant: Plant, start: Found, aim: Aim, rng: Random) -> Iterator[Found]:
    """The start, then what single moves lead to, so many at once; the best of those is moved on from where it is better, until none is."""
    now: Found | None = start
    yield start
    while now:
        here, now = now, None
        moves = list(_moves(plant.choices, here.choice))
        rng.shuffle(moves)
        for at in range(0, len(moves), _AT_ONCE):
            some = moves[at : at + _AT_ONCE]
            plant.answers.prepare(some)
            found = [look(plant, choice) for choice in some]
            yield from found
            best = min(found, key=aim)
            if aim(best) < aim(here):
                now = best
                break


def _moves(choices: Choices, choice: Choice) -> set[Choice]:
    """One size up or down: of a run, of its way to the collector, of all beyond it; nothing then widens outward."""
    found, widest = set(), [len(options) - 1 for options in choices.options]
    for i in range(len(choice)):
        for group in ((i,), choices.inward(i), choices.outward(i)):
            wider, narrower = list(choice), list(choice)
            for run in group:
                wider[run] = min(wider[run] + 1, widest[run])
                narrower[run] = max(narrower[run] - 1, 0)
            found.add(choices.narrow(choices.widen(wider)))
            found.add(choices.widen(choices.narrow(narrower)))
    found.discard(choice)
    return found


def by_speed(choices: Choices, factor: float) -> Choice:
    """The widest sizes that are fast enough, by a factor on the slow limit, at the flows needed, whatever gate set has least of them."""
    made = []
    for i, options in enumerate(choices.options):
        flow = min((needed for at in range(len(choices.sets)) if (needed := _flow_needed(choices, at, i)) > 0), default=0.0)
        slow = factor * choices.look.limits[choices.runs[i]].slow.value
        fits = [k for k, option in enumerate(options) if flow >= slow * 0.7854 * option.bore**2]
        made.append(max(fits, default=0))
    return choices.widen(choices.narrow(choices.widen(made)))


def _flow_needed(choices: Choices, at: int, run: int) -> float:
    """The flow needed through a run in a gate set, m3/s."""
    return sum(choices.tree.ports[port].needs.si for port in choices.open[at] if run in choices.way_to(port))


def shaken(choices: Choices, choice: Choice, rng: Random) -> Choice:
    """A choice with some of its sizes moved up or down."""
    made = [
        min(max(k + rng.choice((-1, 1)), 0), len(options) - 1) if rng.random() < _SHAKEN else k
        for options, k in zip(choices.options, choice, strict=True)
    ]
    return choices.widen(choices.narrow(made))
