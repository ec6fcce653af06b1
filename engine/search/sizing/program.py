"""The choices of sizes not excluded yet, as rows of a linear program for HiGHS (through `scipy.optimize.milp`).

An ordered binary y[run, k] says "at least size k"; a further one for each
reducer says that it is bought. Every row reads: columns times their factors
add up to a bound or more.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from engine.design.meaning import SAME_BORE, takes_reducer
from engine.search.sizing.cuts import Cut
from engine.search.sizing.plant import Choice, Choices
from engine.search.sizing.plant.prices import Prices
from engine.values import dataclass

if TYPE_CHECKING:  # slow to load: not before something is to be solved, local search does without it
    from scipy.optimize import LinearConstraint
    from scipy.sparse import csr_array

# Of one call of HiGHS, s: a search can be left between calls only.
LONGEST_SOLVE = 16.0
# So much cheaper is cheaper, in the prices' currency.
_CHEAPER = 1e-4
_NO_ANSWER = 2  # HiGHS's status of a program that nothing satisfies

# Factors by column, and the bound.
Row = tuple[dict[int, float], float]


@dataclass(frozen=True, slots=True)
class Solution:
    """The choice nearest to what HiGHS came to, None where it came to none in time or there is none; no choice costs less than `bound`."""

    choice: Choice | None
    bound: float
    impossible: bool = False


class Program:
    """The choices that no cut excludes, and what they cost."""

    def __init__(self, choices: Choices, prices: Prices) -> None:
        self._choices, self._prices = choices, prices
        self._column: dict[tuple[int, int], int] = {}
        for i, options in enumerate(choices.options):
            for k in range(1, len(options)):
                self._column[i, k] = len(self._column)
        self._reducers = [
            (i, k) for i, options in enumerate(choices.options) if choices.parent[i] >= 0
            for k in range(len(options)) if takes_reducer(options[k].run) and prices.options[i][k].reducer
        ]  # fmt: skip
        self._binaries = len(self._column)
        self._size = self._binaries + len(self._reducers)
        self._fixed, self._costs = self._cost_terms()
        self._rows: list[Row] = [*self._order_rows(), *self._reducer_rows()]
        self._matrix: csr_array | None = None

    def _at_least(self, i: int, k: int) -> Row:
        """ "Run i has at least size k" as columns and a constant."""
        if k <= 0:
            return {}, 1.0
        return ({self._column[i, k]: 1.0}, 0.0) if k < len(self._choices.options[i]) else ({}, 0.0)

    def _cost_terms(self) -> tuple[float, NDArray[np.float64]]:
        """What the narrowest sizes cost, and what each column adds."""
        fixed, costs = 0.0, np.zeros(self._size)
        for i, options in enumerate(self._choices.options):
            own = [self._own_price(i, k) for k in range(len(options))]
            fixed += own[0]
            for k in range(1, len(options)):
                costs[self._column[i, k]] = own[k] - own[k - 1]
        for at, (i, k) in enumerate(self._reducers):
            costs[self._binaries + at] = self._prices.options[i][k].reducer
        return fixed, costs

    def _own_price(self, i: int, k: int) -> float:
        """Of a run in a size; with the reducer where it joins the collector, whose inlet is of one bore."""
        at_inlet = self._choices.parent[i] < 0
        return self._prices.own(i, k) + (self._prices.reducer(i, k, self._choices.design.collector.inlet.si) if at_inlet else 0.0)

    def _order_rows(self) -> Iterator[Row]:
        """Sizes in order; nothing wider than what it joins."""
        choices = self._choices
        for (i, k), column in self._column.items():
            if k > 1:
                yield {self._column[i, k - 1]: 1.0, column: -1.0}, 0.0
        for i, parent in enumerate(choices.parent):
            for k in range(len(choices.options[i]) if parent >= 0 else 0):
                wider, constant = self._at_least(parent, self._first_as_wide(parent, choices.least_to_join(i, k)))
                if constant == 0.0:
                    yield ({**wider, self._column[i, k]: -1.0}, 0.0) if k else (wider, 1.0)

    def _first_as_wide(self, i: int, bore: float) -> int:
        options = self._choices.options[i]
        return next((k for k, other in enumerate(options) if other.bore >= bore - SAME_BORE), len(options))

    def _reducer_rows(self) -> Iterator[Row]:
        """A reducer is bought where a run has size k and its parent another bore."""
        for at, (i, k) in enumerate(self._reducers):
            row, bound = {self._binaries + at: 1.0}, 0.0
            parent, bore = self._choices.parent[i], self._choices.options[i][k].bore
            same = next((j for j, option in enumerate(self._choices.options[parent]) if abs(option.bore - bore) < SAME_BORE), None)
            terms = [(i, k, -1.0), (i, k + 1, +1.0)] + ([] if same is None else [(parent, same, +1.0), (parent, same + 1, -1.0)])
            for run, size, sign in terms:
                columns, constant = self._at_least(run, size)
                _add(row, columns, sign)
                bound -= sign * constant
            yield row, bound

    def exclude(self, cut: Cut) -> None:
        """Take the choices of a cut out."""
        row: dict[int, float] = {}
        bound = 1.0
        for runs, sign in ((cut.above, +1.0), (cut.below, -1.0)):
            for i, k in runs:
                columns, constant = self._at_least(i, k + 1 if sign > 0 else k)
                _add(row, columns, sign)
                bound -= constant if sign > 0 else 1.0 - constant
        self._rows.append((row, bound))

    def solve(self, *, whole: bool, gap: float = 0.0, cheaper_than: float | None = None, seconds: float = LONGEST_SOLVE) -> Solution:
        """The cheapest choice not excluded; with `whole` false, that of the relaxation, in which sizes may be part of one.

        `gap` is the share of its price that the choice may cost more than the
        least, `cheaper_than` a price it must be below, `seconds` how long
        HiGHS may take.
        """
        from scipy.optimize import Bounds, LinearConstraint, milp

        constraints = [self._constraint()]
        if cheaper_than is not None:
            constraints.append(LinearConstraint(self._costs[None, :], -np.inf, cheaper_than - self._fixed - _CHEAPER))
        integrality = np.zeros(self._size)
        integrality[: self._binaries] = 1 if whole else 0
        answer = milp(
            self._costs, integrality=integrality, bounds=Bounds(0.0, 1.0), constraints=constraints,
            options={"mip_rel_gap": gap, "time_limit": seconds},
        )  # fmt: skip
        if answer.status == _NO_ANSWER:
            return Solution(None, np.inf, impossible=True)
        least = answer.mip_dual_bound if whole else answer.fun
        bound = -np.inf if least is None else least + self._fixed
        return Solution(None if answer.x is None else self._choice(answer.x), bound)

    def _constraint(self) -> LinearConstraint:
        from scipy.optimize import LinearConstraint
        from scipy.sparse import coo_array, vstack

        known = 0 if self._matrix is None else self._matrix.shape[0]
        if known < len(self._rows):
            new = self._rows[known:]
            entries = [(at, column, value) for at, (row, _) in enumerate(new) for column, value in row.items()]
            rows, columns, values = zip(*entries, strict=True) if entries else ((), (), ())
            block = coo_array((values, (rows, columns)), shape=(len(new), self._size)).tocsr()
            self._matrix = block if self._matrix is None else vstack([self._matrix, block], format="csr")
        return LinearConstraint(self._matrix, np.array([bound for _, bound in self._rows]), np.inf)

    def _choice(self, values: NDArray[np.float64]) -> Choice:
        """The choice nearest to values of the y."""
        options = enumerate(self._choices.options)
        return tuple(sum(bool(values[self._column[i, k]] > 0.5) for k in range(1, len(own))) for i, own in options)


def _add(row: dict[int, float], columns: dict[int, float], sign: float) -> None:
    for column, value in columns.items():
        row[column] = row.get(column, 0.0) + sign * value
