"""One machine at a time: the cheapest sizes, exact, run after run outward from the collector.

Where every gate set has one open port, each port's flow hangs on its own way
alone. What the runs beyond a run cost at best hangs on the sizes of its way
only, so the sum over them is least when each is least: dynamic programming,
with the full law at joints, since an idle leg takes no part. Sizes that cannot
come below what is found already are not followed.
"""

from __future__ import annotations

from collections.abc import Generator, Iterator, Sequence
from math import inf

from engine.design.meaning import SAME_BORE
from engine.search.sizing.plant import Choice, Choices, Plant
from engine.search.sizing.plant.answers import Answers
from engine.search.sizing.plant.prices import Prices
from engine.values import dataclass


def is_alone(choices: Choices) -> bool:
    """Whether every gate set draws through one port, and nothing leaks beside it."""
    return all(len(ports) == 1 for ports in choices.open) and not choices.leaks


def weigh(plant: Plant, dearest: float = inf) -> Iterator[Choice | None]:
    """None after every run looked at, then the cheapest choice that meets every rule; None again where none is below `dearest`.

    That is a price in the plant's own. Exact where `is_alone`, and nowhere else.
    """
    price, sizes = yield from _Search.of(plant).best(0, [0] * len(plant.choices.runs), dearest)
    yield None if price == inf else tuple(sizes[i] for i in range(len(plant.choices.runs)))


def cheapest_alone(plant: Plant, dearest: float = inf) -> Choice | None:
    """The cheapest choice that meets every rule, see `weigh`; None where none is below the price `dearest`."""
    *_, choice = weigh(plant, dearest)
    return choice


@dataclass(frozen=True, slots=True)
class _Search:
    """`floors`: what each run and all beyond it cost at least."""

    choices: Choices
    prices: Prices
    answers: Answers
    floors: Sequence[float]

    @classmethod
    def of(cls, plant: Plant) -> _Search:
        """The search of a plant's sizes."""
        choices, prices = plant.choices, plant.prices
        floors = [0.0] * len(choices.runs)
        for i in reversed(range(len(floors))):
            floors[i] = min(prices.own(i, k) for k in range(len(choices.options[i]))) + sum(floors[kid] for kid in choices.children[i])
        return cls(choices, prices, plant.answers, floors)

    def _floor(self, runs: Sequence[int]) -> float:
        """What these runs and all beyond them cost at least."""
        return sum(self.floors[i] for i in runs)

    def best(self, i: int, way: list[int], dearest: float) -> Generator[None, None, tuple[float, dict[int, int]]]:
        """Returns the least price below `dearest` of a run and all beyond it, with their sizes; `way` has those of the runs on its way."""
        choices, least = self.choices, inf
        chosen: dict[int, int] = {}
        parent, kids = choices.parent[i], choices.children[i]
        for k in range(len(choices.options[i])):
            if parent >= 0 and choices.least_to_join(i, k) > choices.options[parent][way[parent]].bore + SAME_BORE:
                break
            way[i] = k
            price, sizes = self.prices.own(i, k) + self.prices.reducer(i, k, choices.inner_bore(i, way)), {i: k}
            if price + self._floor(kids) >= dearest or not self._keeps_rules(i, way):
                continue
            yield
            for at, kid in enumerate(kids):
                more, beyond = yield from self.best(kid, way, dearest - price - self._floor(kids[at + 1 :]))
                price, sizes = price + more, sizes | beyond
                if price == inf:
                    break
            if price < dearest:
                least = dearest = price
                chosen = sizes
        way[i] = 0
        return least, chosen

    def _keeps_rules(self, i: int, way: list[int]) -> bool:
        """Whether the gate sets that draw through a port at the end of this run keep their rules."""
        port = self.choices.tree.runs[i].port
        drawing = (at for at, ports in enumerate(self.choices.open) if port is not None and ports == (port,))
        return all(not self.answers.answer(tuple(way), at).broken for at in drawing)
