"""What the sizes of a design cost."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from engine.design import children_of
from engine.parts.price import RunPrice, Sizes, by_surface, run_price, wants_reducer
from engine.search.sizing.plant.choices import Choices
from engine.values import dataclass


@dataclass(frozen=True)
class Prices:
    """The price of every option, in the currency of the stock's prices; in m2 of pipe where they are `by_surface`."""

    choices: Choices
    by_surface: bool
    options: tuple[tuple[RunPrice, ...], ...]

    def own(self, i: int, k: int) -> float:
        """Of a run in a size: its pipe, hose and elbows, and the joints at its outer end."""
        price = self.options[i][k]
        return price.pipe + price.joints

    def reducer(self, i: int, k: int, inner: float) -> float:
        """Of the reducer that a run in a size wants where it joins a bore of `inner` m; nothing where it wants none."""
        option = self.choices.options[i][k]
        return self.options[i][k].reducer if wants_reducer(option.run, option.bore, inner) else 0.0

    def total(self, choice: Sequence[int]) -> float:
        """Of all runs under a choice."""
        return sum([self._joining[i][k][choice[parent]] for i, (k, parent) in enumerate(zip(choice, self.choices.parent, strict=True))])

    @cached_property
    def _joining(self) -> list[list[list[float]]]:
        """Of a run in an option, with its reducer, where it joins an option of the run that it does; the inlet is the same in all."""
        choices, most, found = self.choices, max(map(len, self.choices.options), default=0), []
        for i, (own, parent) in enumerate(zip(choices.options, choices.parent, strict=True)):
            inner = [option.bore for option in choices.options[parent]] if parent >= 0 else [choices.design.collector.inlet.si] * most
            found.append([[self.own(i, k) + self.reducer(i, k, bore) for bore in inner] for k in range(len(own))])
        return found


def prices_of(choices: Choices) -> Prices:
    """Prices of the sizes there are to choose from: by the surface of their pipe where one of a real choice has no price."""
    priced = _prices(choices, choices.look.sizes)
    if any(price.unpriced for prices in priced if len(prices) > 1 for price in prices):
        return Prices(choices, True, _prices(choices, by_surface(choices.look.sizes)))
    return Prices(choices, False, priced)


def _prices(choices: Choices, sizes: Sizes) -> tuple[tuple[RunPrice, ...], ...]:
    joining = children_of(choices.design)
    return tuple(tuple(run_price(option.run, joining[option.run.id], sizes) for option in options) for options in choices.options)
