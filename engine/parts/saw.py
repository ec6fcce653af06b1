"""Cutting in whole numbers: sizes to be cut, sticks to cut them from, and the patterns that fit.

A size counts its kerf, a stick one kerf more than its length: the last cut of
a stick needs none where it ends. So cuts fit if their sizes add up to the
stick's or less.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import reduce
from math import gcd

import numpy as np
from numpy.typing import NDArray

from engine.values import dataclass

# How many of each size are cut from one stick.
Pattern = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Blank:
    """A kind of stick: its size, what one costs, how many there are; None where as many as are wanted."""

    size: int
    price: int
    most: int | None = None


@dataclass(frozen=True, slots=True)
class Order:
    """Sizes, largest first, how many are wanted of each, and the sticks there are."""

    sizes: tuple[int, ...]
    wanted: tuple[int, ...]
    blanks: tuple[Blank, ...]

    @property
    def step(self) -> int:
        """Prices of plans lie so far apart, or further."""
        return reduce(gcd, (blank.price for blank in self.blanks)) or 1

    @property
    def longest(self) -> int:
        """The size of the longest stick."""
        return max(blank.size for blank in self.blanks)

    def used(self, pattern: Pattern) -> int:
        """How much of a stick a pattern takes."""
        return sum(size * count for size, count in zip(self.sizes, pattern, strict=True))

    def price(self, plan: Plan) -> int:
        """What the sticks of a plan cost."""
        return sum(self.blanks[blank].price for blank, _ in plan)

    def trimmed(self, plan: Plan) -> Plan:
        """A plan without the cuts that nobody wants, and without sticks of which nothing is cut."""
        left, trimmed = list(self.wanted), list[tuple[int, Pattern]]()
        for blank, pattern in plan:
            cut = tuple(min(count, left[i]) for i, count in enumerate(pattern))
            left = [had - count for had, count in zip(left, cut, strict=True)]
            if any(cut):
                trimmed.append((blank, cut))
        return tuple(trimmed)


# The sticks cut, each by its blank's number and its pattern.
Plan = tuple[tuple[int, Pattern], ...]


def first_fit(order: Order, blank: int) -> Plan | None:
    """First fit decreasing: every cut, largest first, from the first stick that still has room; else from a new one.

    New are the limited sticks, shortest first, then those of one blank. None
    where neither has room for a cut.
    """
    limited = [i for i, other in enumerate(order.blanks) if other.most is not None for _ in range(other.most)]
    limited.sort(key=lambda i: order.blanks[i].size)
    sticks: list[tuple[int, int, list[int]]] = [(i, order.blanks[i].size, [0] * len(order.sizes)) for i in limited]
    for i, (size, wanted) in enumerate(zip(order.sizes, order.wanted, strict=True)):
        for _ in range(wanted):
            at = next((at for at, (_, room, _) in enumerate(sticks) if room >= size), None)
            if at is None:
                if order.blanks[blank].size < size or order.blanks[blank].most is not None:
                    return None
                sticks.append((blank, order.blanks[blank].size, [0] * len(order.sizes)))
                at = len(sticks) - 1
            kind, room, counts = sticks[at]
            counts[i] += 1
            sticks[at] = kind, room - size, counts
    return tuple((kind, tuple(counts)) for kind, _, counts in sticks if any(counts))


def fullest_first(order: Order, *, largest: bool) -> Plan | None:
    """Stick after stick, each filled as far as can be, and of the blanks that which costs the least for what it holds.

    With `largest` every stick holds the largest cut that is left. None where
    no stick has room for a cut.
    """
    left, stock, plan = list(order.wanted), [blank.most for blank in order.blanks], list[tuple[int, Pattern]]()
    while any(left):
        first = next(i for i, count in enumerate(left) if count)
        held = order.sizes[first] if largest else 0
        rest = [count - (largest and i == first) for i, count in enumerate(left)]
        table = Knapsack(order.sizes, rest, order.sizes, order.longest)
        fits = [
            (blank.price / used, -used, i) for i, blank in enumerate(order.blanks)
            if stock[i] != 0 and blank.size >= held and (used := held + table.best(blank.size - held))
        ]  # fmt: skip
        if not fits:
            return None
        _, _, i = min(fits)
        pattern = tuple(count + (largest and j == first) for j, count in enumerate(table.pattern(order.blanks[i].size - held)))
        plan.append((i, pattern))
        left = [had - count for had, count in zip(left, pattern, strict=True)]
        kept = stock[i]
        stock[i] = None if kept is None else kept - 1
    return tuple(plan)


class Knapsack:
    """The patterns worth most, for every room up to a largest one; worths are whole numbers, and so is every answer exact."""

    def __init__(self, sizes: Sequence[int], most: Sequence[int], worths: Sequence[int], room: int) -> None:
        self._sizes, self._worths = sizes, worths
        self._worth = np.zeros(room + 1, dtype=np.int64)
        # Of each item, the rooms in which it is taken: an item is a size so many times, doubled until all that are wanted are in.
        self._taken: list[tuple[int, int, NDArray[np.bool_]]] = []
        for i, (size, count, worth) in enumerate(zip(sizes, most, worths, strict=True)):
            if worth > 0:
                for times in _doubled(min(count, room // size)):
                    self._add(i, times, size * times, worth * times)

    def _add(self, i: int, times: int, size: int, worth: int) -> None:
        taken = np.zeros(len(self._worth), dtype=np.bool_)
        if size < len(self._worth):
            with_it = self._worth[:-size] + worth
            taken[size:] = with_it > self._worth[size:]
            self._worth[size:] = np.maximum(self._worth[size:], with_it)
        self._taken.append((i, times, taken))

    def best(self, room: int) -> int:
        """The most that a pattern in so much room is worth."""
        return int(self._worth[room])

    def pattern(self, room: int) -> Pattern:
        """A pattern worth that."""
        counts = [0] * len(self._sizes)
        for i, times, taken in reversed(self._taken):
            if taken[room]:
                counts[i] += times
                room -= times * self._sizes[i]
        return tuple(counts)


def worthy(order: Order, blank: int, worths: Sequence[int], least: int) -> Iterator[Pattern]:
    """Every pattern of a blank to which no cut can be added and that is worth `least` or more, one by one."""
    room, sizes, most = order.blanks[blank].size, order.sizes, order.wanted
    # What the sizes from the i-th on are worth at most, by room.
    beyond = [np.zeros(room + 1, dtype=np.int64)]
    for i in reversed(range(len(sizes))):
        worth = beyond[-1].copy()
        for times in _doubled(min(most[i], room // sizes[i])):
            size = sizes[i] * times
            worth[size:] = np.maximum(worth[size:], worth[:-size] + worths[i] * times)
        beyond.append(worth)
    beyond.reverse()
    waiting: list[tuple[Pattern, int, int]] = [((), room, 0)]
    while waiting:
        counts, left, had = waiting.pop()
        i = len(counts)
        if i == len(sizes):
            if not any(size <= left and count < wanted for size, count, wanted in zip(sizes, counts, most, strict=True)):
                yield counts
            continue
        for count in range(min(most[i], left // sizes[i]) + 1):
            rest, so_far = left - count * sizes[i], had + count * worths[i]
            if so_far + beyond[i + 1][rest] >= least:
                waiting.append(((*counts, count), rest, so_far))


def _doubled(count: int) -> Iterator[int]:
    """1, 2, 4 ... and a rest, which add up to every number up to `count`."""
    times = 1
    while count > 0:
        yield min(times, count)
        count -= times
        times *= 2
