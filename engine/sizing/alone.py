"""One machine at a time: the cheapest sizes, exact, run after run outward from the collector.

Where every gate set has one open port, each port's flow hangs on its own way
alone. What the runs beyond a run cost at best hangs on the sizes of its way
only, so the sum over them is least when each is least: dynamic programming,
with the full law at joints, since an idle leg takes no part.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from engine.price import wants_reducer
from engine.sizing.plant import Choice, Plant


def is_alone(plant: Plant) -> bool:
    """Whether every gate set draws through one port, and nothing leaks beside it."""
    return all(len(ports) == 1 for ports in plant.open) and not plant.tree.leaks and not plant.tree.shut_gate


def cheapest_alone(plant: Plant) -> Choice | None:
    """The cheapest choice that meets every rule; None where none does."""
    made = _Search(plant)
    price, sizes = made.best(0, [0] * len(plant.runs))
    return None if price == inf else tuple(sizes[i] for i in range(len(plant.runs)))


@dataclass(slots=True)
class _Search:
    plant: Plant

    def best(self, i: int, way: list[int]) -> tuple[float, dict[int, int]]:
        """Least price of a run and all beyond it, and their sizes, where the runs on its way have the sizes in `way`."""
        plant, least, chosen = self.plant, inf, {}
        parent = plant.parent[i]
        widest = inf if parent < 0 else plant.options[parent][way[parent]].bore + 1e-5
        for k, option in enumerate(plant.options[i]):
            if option.bore > widest:
                break
            way[i] = k
            price = option.price.pipe + option.price.joints
            if wants_reducer(option.run, option.bore, plant.inner_bore(i, way)):
                price += option.price.reducer
            sizes = {i: k}
            if not self._good(i, way):
                continue
            for kid in plant.children[i]:
                if price >= least:
                    break
                more, beyond = self.best(kid, way)
                price, sizes = price + more, sizes | beyond
            if price < least:
                least, chosen = price, sizes
        way[i] = 0
        return least, chosen

    def _good(self, i: int, way: list[int]) -> bool:
        """Whether the gate sets that draw through a port at the end of this run keep their rules."""
        port = self.plant.tree.runs[i].port
        return all(
            not self.plant.answer(tuple(way), at).broken for at, ports in enumerate(self.plant.open) if port is not None and ports == (port,)
        )
