"""The cheapest sizes there are, or a bound on them: HiGHS proposes, the solver of the network refuses.

HiGHS proposes the cheapest sizes not yet excluded; every gate set is solved;
each broken rule excludes a box of sizes (see `cuts`). That holds for constant
coefficients and a falling curve, not for joints whose loss hangs on the flow
ratio: the proof holds each joint's coefficient at its average, and what it
finds is checked with the full law.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.search.sizing.cuts import Cut, cut_alone, cuts_of
from engine.search.sizing.local import Found, look
from engine.search.sizing.plant import Choice, Plant
from engine.search.sizing.program import LONGEST_SOLVE, Program
from engine.values import dataclass

_ROUGH_GAP = 0.03
_ROUNDS_OF_LPS = 60
# Of one call of HiGHS at first, s; doubled where it brings nothing, up to the longest.
_PATIENCE = 2.0


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the proof has come: no choice that meets all rules costs less than `bound`; `best` is the cheapest found; `done` at its end.

    `impossible`: no choice meets all rules; `cuts` are what says so.
    """

    bound: float
    best: Found | None
    done: bool
    impossible: bool
    cuts: tuple[Cut, ...]


def prove(plant: Plant, best: Found | None, start: Choice) -> Iterator[Progress]:
    """Search on from what local search has found until nothing cheaper can be, or HiGHS gets no further.

    `best` is the cheapest found that meets all rules, None where none does;
    `start` the choice under whose flows the joints' coefficients are taken.
    """
    search = _Proof(plant, best, start)
    yield from search.by_relaxations()
    yield from search.by_choices()


class _Proof:
    def __init__(self, plant: Plant, best: Found | None, start: Choice) -> None:
        self._plant, self._held, self._best = plant, plant.held(start), best
        self._program = Program(plant.choices, plant.prices)
        self._cuts: list[Cut] = []
        self._bound = 0.0

    def by_relaxations(self) -> Iterator[Progress]:
        """Cuts from choices near what the relaxation proposes: quickly solved, and most of those it takes."""
        choices = self._plant.choices
        for _ in range(_ROUNDS_OF_LPS):
            proposed = self._program.solve(whole=False, cheaper_than=self._price)
            if proposed.choice is None:
                return
            self._bound = max(self._bound, proposed.bound)
            yield self._progress()
            if not self._refuse(choices.narrow(choices.widen(proposed.choice))):
                return

    def by_choices(self) -> Iterator[Progress]:
        """Choices proposed in full, at first to a rough gap, until none is left."""
        gap, patience = _ROUGH_GAP, _PATIENCE
        while patience <= LONGEST_SOLVE:
            proposed = self._program.solve(whole=True, gap=gap, cheaper_than=self._price, seconds=patience)
            if proposed.impossible:
                self._bound = self._best.price if self._best else self._bound
                yield self._progress(done=True, impossible=self._best is None)
                return
            self._bound = max(self._bound, proposed.bound)
            yield self._progress()
            if proposed.choice is None:
                patience *= 2
            elif not self._refuse(proposed.choice):
                self._take(proposed.choice)
                gap = 0.0

    @property
    def _price(self) -> float | None:
        return self._best.price if self._best else None

    def _progress(self, *, done: bool = False, impossible: bool = False) -> Progress:
        bound = min(self._bound, self._best.price) if self._best else self._bound
        return Progress(bound, self._best, done, impossible, tuple(self._cuts))

    def _refuse(self, choice: Choice) -> bool:
        """Exclude a choice that breaks a rule; whether it does."""
        new = list(cuts_of(self._held, choice))
        for cut in new:
            self._exclude(cut)
        return bool(new)

    def _take(self, choice: Choice) -> None:
        """A choice that breaks no rule with the coefficients held: the best where it breaks none with the full law either, else excluded alone."""
        found = look(self._plant, choice)
        if found.off == 0.0 and (self._best is None or found.price < self._best.price):
            self._best = found
        else:
            self._exclude(cut_alone(choice))

    def _exclude(self, cut: Cut) -> None:
        self._program.exclude(cut)
        self._cuts.append(cut)
