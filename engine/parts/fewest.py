"""The cheapest plan of an order, with a bound that no plan costs less than.

Patterns are made as the linear program asks for them (column generation);
HiGHS chooses whole sticks among them. Where its choice does not meet the
bound, every pattern that a plan at the bound could hold is made: those that
are worth nearly their stick. If HiGHS finds no plan among these, there is none
at that price, and the bound rises.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import islice
from math import ceil, floor
from time import monotonic
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from engine.parts.saw import Knapsack, Order, Pattern, Plan, first_fit, fullest_first, worthy
from engine.values import dataclass

# The dearest stick is so many units of worth: worths are whole numbers of them, and so are bounds exact.
_FINE = 10**7
# No proof is tried with more patterns than these, nor with tables of more rooms.
_MOST_PATTERNS = 20_000
_MOST_ROOMS = 6_000_000
# Where plans can have more prices than these, all between are taken as possible.
_MOST_PRICES = 50_000
# HiGHS's statuses of a program that is solved, and of one that nothing satisfies.
_SOLVED, _NO_ANSWER = 0, 2

# A blank's number and a pattern of it.
Column = tuple[int, Pattern]


@dataclass(frozen=True, slots=True)
class Answer:
    """A plan, and a price that no plan is below."""

    plan: Plan
    bound: int


class Worths(NamedTuple):
    """Worths of the sizes, and rents of the limited blanks: no pattern is worth more than the price and the rent of its stick.

    So no plan costs less than all that is wanted is worth, less the rents of
    all the sticks there are. All in parts of a price: so many make one.
    """

    sizes: tuple[int, ...]
    rents: tuple[int, ...]
    parts: int

    def total(self, order: Order) -> int:
        """The least a plan can cost, in parts."""
        worth = sum(worth * wanted for worth, wanted in zip(self.sizes, order.wanted, strict=True))
        return worth - sum(rent * (blank.most or 0) for rent, blank in zip(self.rents, order.blanks, strict=True))

    def bound(self, order: Order) -> int:
        """The least a plan can cost: a price that plans can have."""
        return max(0, ceil(Fraction(self.total(order), self.parts * order.step)) * order.step)


def cheapest(order: Order, seconds: float) -> Answer | None:
    """The cheapest plan found in about so many seconds, and the bound; None where no sticks are found to suffice.

    That is never so where a blank that is not limited has room for every size.
    """
    ends = monotonic() + seconds
    plans = list(_simple(order))
    if not plans:
        return None
    best = min((order.trimmed(plan) for plan in plans), key=order.price)
    possible = _possible(order, order.price(best))
    bound = possible[0]
    if order.price(best) > bound:
        columns = dict.fromkeys(column for plan in plans for column in plan)
        worths = _worths(order, columns, ends)
        bound = max(bound, _next(possible, worths.bound(order)))
        if order.price(best) > bound:
            half = (monotonic() + ends) / 2
            best = _choice(order, list(columns), order.price(best) - order.step, half).plan or best
        return _proof(order, worths, possible, Answer(best, bound), ends)
    return Answer(best, bound)


def _simple(order: Order) -> Iterator[Plan]:
    """Plans made cut after cut or stick after stick."""
    ways = (*(first_fit(order, i) for i in range(len(order.blanks))), *(fullest_first(order, largest=largest) for largest in (False, True)))
    yield from (plan for plan in ways if plan is not None)


def _possible(order: Order, most: int) -> Sequence[int]:
    """The prices up to that of a plan, `most`, that sticks long enough for all that is wanted can have, rising; limited sticks taken as free."""
    wanted = sum(size * count for size, count in zip(order.sizes, order.wanted, strict=True))
    free = sum(blank.size * blank.most for blank in order.blanks if blank.most is not None)
    sold = [(blank.price // order.step, blank.size) for blank in order.blanks if blank.most is None]
    if most // order.step > _MOST_PRICES:
        least = min((Fraction(max(0, wanted - free) * price, size) for price, size in sold), default=Fraction(0))
        return range(ceil(least) * order.step, most + 1, order.step)
    # The most length for just so many steps of price; none below 0.
    lengths = [free]
    for steps in range(1, most // order.step + 1):
        lengths.append(max((lengths[steps - price] + size for price, size in sold if price <= steps and lengths[steps - price] >= 0), default=-1))
    return [steps * order.step for steps, length in enumerate(lengths) if length >= wanted]


def _next(possible: Sequence[int], price: int) -> int:
    """The first of the possible prices that is not below a price; the last where all are."""
    return possible[min(bisect_left(possible, price), len(possible) - 1)]


def _worths(order: Order, columns: dict[Column, None], ends: float) -> Worths:
    """The worths of the highest bound that are found before the end; the patterns they ask for join the columns."""
    best = Worths((0,) * len(order.sizes), (0,) * len(order.blanks), 1)
    parts = max(1, _FINE // max(blank.price for blank in order.blanks))
    while True:
        duals, rents = _duals(order, list(columns))
        sizes = [floor(max(dual, 0.0) * parts) for dual in duals]
        table = Knapsack(order.sizes, order.wanted, sizes, order.longest)
        asked = [
            (i, table.pattern(blank.size)) for i, blank in enumerate(order.blanks)
            if table.best(blank.size) > (blank.price + rents[i]) * parts + 0.5 * len(sizes)
        ]  # fmt: skip
        best = max(best, _allowed(order, sizes, parts, table), key=lambda worths: Fraction(worths.total(order), worths.parts))
        new = [column for column in asked if column not in columns]
        columns |= dict.fromkeys(new)
        if not new or monotonic() > ends:
            return best


def _allowed(order: Order, sizes: Sequence[int], parts: int, table: Knapsack) -> Worths:
    """Worths made so much smaller that no pattern is worth more than a stick that is not limited; what one of a limited is, its rent pays."""
    over = max([Fraction(table.best(blank.size), blank.price * parts) for blank in order.blanks if blank.most is None] or [Fraction(1)])
    fair = tuple(floor(worth / over) for worth in sizes) if over > 1 else tuple(sizes)
    if over > 1 and any(blank.most is not None for blank in order.blanks):
        table = Knapsack(order.sizes, order.wanted, fair, order.longest)
    rents = (0 if blank.most is None else max(0, table.best(blank.size) - blank.price * parts) for blank in order.blanks)
    return Worths(fair, tuple(rents), parts)


def _duals(order: Order, columns: Sequence[Column]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """What one more of each size would cost, and one more stick of each blank save, where parts of sticks can be bought."""
    from scipy.optimize import linprog  # slow to load: not before there is something to cut

    rows, least, most, prices = _rows(order, columns)
    matrix = np.vstack([-rows[: len(order.sizes)], rows[len(order.sizes) :]])
    bounds = np.concatenate([-least[: len(order.sizes)], most[len(order.sizes) :]])
    answer = linprog(prices, A_ub=matrix, b_ub=bounds, method="highs")
    duals = -answer.ineqlin.marginals
    rents, limited = np.zeros(len(order.blanks)), [i for i, blank in enumerate(order.blanks) if blank.most is not None]
    rents[limited] = duals[len(order.sizes) :]
    return duals[: len(order.sizes)], rents


def _rows(order: Order, columns: Sequence[Column]) -> tuple[NDArray[np.float64], ...]:
    """What each column cuts of every size, which of the limited blanks it takes; least and most of each; its price."""
    limited = [i for i, blank in enumerate(order.blanks) if blank.most is not None]
    rows = np.array([[*pattern, *(float(blank == i) for i in limited)] for blank, pattern in columns], dtype=np.float64).T
    least = np.array([*order.wanted, *(0 for _ in limited)], dtype=np.float64)
    most = np.array([*(np.inf for _ in order.wanted), *(order.blanks[i].most or 0 for i in limited)], dtype=np.float64)
    return rows, least, most, np.array([float(order.blanks[blank].price) for blank, _ in columns])


class _Choice(NamedTuple):
    """A plan, None where there is none; whether HiGHS came to its end."""

    plan: Plan | None
    ended: bool


def _choice(order: Order, columns: Sequence[Column], target: int, ends: float) -> _Choice:
    """The cheapest plan of some columns, of those that cost no more than `target`."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    rows, least, most, prices = _rows(order, columns)
    constraints = [LinearConstraint(rows, least, most), LinearConstraint(prices[None, :], -np.inf, target + 0.5 * order.step)]
    answer = milp(
        prices, integrality=np.ones(len(columns)), bounds=Bounds(0.0, np.inf), constraints=constraints,
        options={"time_limit": max(0.05, ends - monotonic()), "mip_rel_gap": 0.9 * order.step / max(1, target)},
    )  # fmt: skip
    if answer.x is None:
        return _Choice(None, answer.status == _NO_ANSWER)
    plan = tuple(column for column, times in zip(columns, answer.x, strict=True) for _ in range(round(times)))
    return _Choice(order.trimmed(plan), answer.status == _SOLVED)


def _proof(order: Order, worths: Worths, possible: Sequence[int], found: Answer, ends: float) -> Answer:
    """The answer improved: whether there is a plan at the bound, and if not at the next possible price, from every pattern that it could hold."""
    if order.longest * len(order.sizes) > _MOST_ROOMS:
        return found
    while order.price(found.plan) > found.bound and monotonic() < ends:
        columns = list(islice(_promising(order, worths, found.bound), _MOST_PATTERNS + 1))
        if len(columns) > _MOST_PATTERNS:
            break
        choice = _choice(order, columns, found.bound, ends) if columns else _Choice(None, True)
        if choice.plan is not None:
            return Answer(choice.plan, found.bound)
        if not choice.ended:
            break
        found = Answer(found.plan, _next(possible, found.bound + 1))
    return found


def _promising(order: Order, worths: Worths, target: int) -> Iterator[Column]:
    """The columns that a plan that costs `target` at most can hold.

    Each column wastes what its pattern is worth less than the stick's price
    and rent; a plan costs the bound and what all its columns waste.
    """
    waste = target * worths.parts - worths.total(order)
    for i, blank in enumerate(order.blanks):
        least = blank.price * worths.parts + worths.rents[i] - waste
        yield from ((i, pattern) for pattern in worthy(order, i, worths.sizes, least))
