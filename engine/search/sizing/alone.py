"""One machine at a time: the cheapest sizes, exact, run after run outward from the collector.

Where every gate set has one open port, each port's flow hangs on its own way
alone. What the runs beyond a run cost at best hangs on the sizes of its way
only, so the sum over them is least when each is least: dynamic programming,
with the full law at joints, since an idle leg takes no part. Sizes that cannot
come below what is found already are not followed.
"""

from __future__ import annotations

from collections.abc import Generator, Iterator
from dataclasses import dataclass
from math import inf

from engine.search.price import wants_reducer
from engine.search.sizing.plant import Choice, Plant


def is_alone(plant: Plant) -> bool:
    """Whether every gate set draws through one port, and nothing leaks beside it."""
    return all(len(ports) == 1 for ports in plant.open) and not plant.tree.leaks and not plant.tree.shut_gate


def weighed(plant: Plant, dearest: float = inf) -> Iterator[Choice | None]:
    """None after every run looked at, then the cheapest choice that meets every rule; None again where none is below `dearest`."""
    price, sizes = yield from _Search(plant).best(0, [0] * len(plant.runs), dearest)
    yield None if price == inf else tuple(sizes[i] for i in range(len(plant.runs)))


def cheapest_alone(plant: Plant, dearest: float = inf) -> Choice | None:
    """The cheapest choice that meets every rule; None where none is below `dearest`."""
    *_, choice = weighed(plant, dearest)
    return choice


@dataclass(slots=True)
class _Search:
    plant: Plant
    floors: list[float]

    def __init__(self, plant: Plant) -> None:
        self.plant, self.floors = plant, [0.0] * len(plant.runs)
        for i in reversed(range(len(plant.runs))):
            own = min(option.price.pipe + option.price.joints for option in plant.options[i])
            self.floors[i] = own + self._floor(plant.children[i])

    def _floor(self, runs: list[int]) -> float:
        """What these runs and all beyond them cost at least."""
        return sum(self.floors[i] for i in runs)

    def best(self, i: int, way: list[int], dearest: float) -> Generator[None, None, tuple[float, dict[int, int]]]:
        """Returns the least price below `dearest` of a run and all beyond it, with their sizes; `way` has those of the runs on its way."""
        plant, least, chosen = self.plant, inf, {}
        parent, kids = plant.parent[i], plant.children[i]
        for k, option in enumerate(plant.options[i]):
            if parent >= 0 and plant.asked(i, k) > plant.options[parent][way[parent]].bore + 1e-5:
                break
            way[i] = k
            price, sizes = option.price.pipe + option.price.joints, {i: k}
            if wants_reducer(option.run, option.bore, plant.inner_bore(i, way)):
                price += option.price.reducer
            if price + self._floor(kids) >= dearest or not self._good(i, way):
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

    def _good(self, i: int, way: list[int]) -> bool:
        """Whether the gate sets that draw through a port at the end of this run keep their rules."""
        port = self.plant.tree.runs[i].port
        return all(not self.plant.answer(tuple(way), at).broken for at, ports in enumerate(self.plant.open) if port is not None and ports == (port,))
