"""The cheapest sizes there are, or a bound on them: HiGHS proposes, the solver of the network refuses.

An ordered binary y[run, k] says "at least size k". HiGHS (through
`scipy.optimize.milp`) proposes the cheapest sizes not yet excluded; every gate
set is solved; each broken rule excludes not only the proposal but the largest
box of sizes around it whose best corner breaks the rule still. That a corner
is best rests on monotonicity: a port's flow rises with the bores on its way
and falls with all others that carry air; a run's with those on its way and
beyond it. It holds for constant coefficients and a falling curve, not for
joints whose loss hangs on the flow ratio: the proof holds each joint's
coefficient at its average, and what it finds is checked with the full law.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array, csr_array, vstack

from engine.search.price import takes_reducer, wants_reducer
from engine.search.sizing.local import Found, look
from engine.search.sizing.plant import Choice, Plant
from engine.search.sizing.rules import Rule

_ROUGH_GAP = 0.03
_CUTS_A_CHOICE = 12
_ROUNDS_OF_LPS = 60
# Of one call of HiGHS, s: a search can be left between calls only. Doubled where it brings nothing, up to the longest.
_PATIENCE, _LONGEST_SOLVE = 2.0, 16.0
_CHEAPER = 1e-4


@dataclass(frozen=True, slots=True)
class Cut:
    """Sizes excluded by a rule, None for one choice alone: at least one run of `above` is to be larger than that, or one of `below` smaller."""

    rule: Rule | None
    above: tuple[tuple[int, int], ...]
    below: tuple[tuple[int, int], ...]


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


class Model:
    """The choices not excluded yet, as rows of a linear program."""

    def __init__(self, plant: Plant) -> None:
        self.plant = plant
        self.column: dict[tuple[int, int], int] = {}
        for i, options in enumerate(plant.options):
            for k in range(1, len(options)):
                self.column[i, k] = len(self.column)
        self._reducers = [
            (i, k) for i, options in enumerate(plant.options) if plant.parent[i] >= 0
            for k in range(len(options)) if takes_reducer(options[k].run) and options[k].price.reducer
        ]  # fmt: skip
        self.binaries = len(self.column)
        self.size = self.binaries + len(self._reducers)
        self.fixed, self.costs = self._costs()
        self._rows: list[tuple[dict[int, float], float]] = [*self._orders(), *self._reducing()]
        self._matrix: csr_array | None = None

    def _at_least(self, i: int, k: int) -> tuple[dict[int, float], float]:
        """ "Run i has at least size k" as (columns, constant)."""
        if k <= 0:
            return {}, 1.0
        return ({self.column[i, k]: 1.0}, 0.0) if k < len(self.plant.options[i]) else ({}, 0.0)

    def _costs(self) -> tuple[float, np.ndarray]:
        fixed, costs = 0.0, np.zeros(self.size)
        for i, options in enumerate(self.plant.options):
            own = [self._own_price(i, k) for k in range(len(options))]
            fixed += own[0]
            for k in range(1, len(options)):
                costs[self.column[i, k]] = own[k] - own[k - 1]
        for at, (i, k) in enumerate(self._reducers):
            costs[self.binaries + at] = self.plant.options[i][k].price.reducer
        return fixed, costs

    def _own_price(self, i: int, k: int) -> float:
        option = self.plant.options[i][k]
        at_inlet = self.plant.parent[i] < 0 and wants_reducer(option.run, option.bore, self.plant.design.collector.inlet.si)
        return option.price.pipe + option.price.joints + (option.price.reducer if at_inlet else 0.0)

    def _orders(self) -> Iterator[tuple[dict[int, float], float]]:
        """Rows >= bound: sizes in order; nothing wider than what it joins."""
        for (i, k), column in self.column.items():
            if k > 1:
                yield {self.column[i, k - 1]: 1.0, column: -1.0}, 0.0
        for i, parent in enumerate(self.plant.parent):
            for k in range(len(self.plant.options[i]) if parent >= 0 else 0):
                wider, constant = self._at_least(parent, self._first_as_wide(parent, self.plant.asked(i, k)))
                if constant == 0.0:
                    yield ({**wider, self.column[i, k]: -1.0}, 0.0) if k else (wider, 1.0)

    def _first_as_wide(self, i: int, bore: float) -> int:
        bores = [option.bore for option in self.plant.options[i]]
        return next((k for k, other in enumerate(bores) if other >= bore - 1e-5), len(bores))

    def _reducing(self) -> Iterator[tuple[dict[int, float], float]]:
        """A reducer is bought where a run has size k and its parent another bore."""
        for at, (i, k) in enumerate(self._reducers):
            row, bound = {self.binaries + at: 1.0}, 0.0
            parent, bore = self.plant.parent[i], self.plant.options[i][k].bore
            same = next((j for j, option in enumerate(self.plant.options[parent]) if abs(option.bore - bore) < 1e-5), None)
            terms = [(i, k, -1.0), (i, k + 1, +1.0)] + ([] if same is None else [(parent, same, +1.0), (parent, same + 1, -1.0)])
            for run, size, sign in terms:
                columns, constant = self._at_least(run, size)
                for column, value in columns.items():
                    row[column] = row.get(column, 0.0) + sign * value
                bound -= sign * constant
            yield row, bound

    def exclude(self, cut: Cut) -> None:
        """Take the choices of a cut out."""
        row: dict[int, float] = {}
        bound = 1.0
        for runs, sign in ((cut.above, +1.0), (cut.below, -1.0)):
            for i, k in runs:
                columns, constant = self._at_least(i, k + 1 if sign > 0 else k)
                for column, value in columns.items():
                    row[column] = row.get(column, 0.0) + sign * value
                bound -= constant if sign > 0 else 1.0 - constant
        self._rows.append((row, bound))

    def keep(self, count: int) -> None:
        """Forget the cuts after the first `count` rows."""
        del self._rows[count:]
        self._matrix = None

    @property
    def rows(self) -> int:
        """How many rows there are."""
        return len(self._rows)

    def solved(
        self, *, whole: bool, gap: float = 0.0, cheaper_than: float | None = None, seconds: float = _LONGEST_SOLVE
    ) -> tuple[str, np.ndarray | None, float]:
        """ "found", "none" or "late"; the values of the y, and a bound on the price. `whole` asks for a choice, not the relaxation."""
        constraints = [self._constraint()]
        if cheaper_than is not None:
            constraints.append(LinearConstraint(self.costs[None, :], -np.inf, cheaper_than - self.fixed - _CHEAPER))
        integrality = np.zeros(self.size)
        integrality[: self.binaries] = 1 if whole else 0
        answer = milp(
            self.costs, integrality=integrality, bounds=Bounds(0.0, 1.0), constraints=constraints,
            options={"mip_rel_gap": gap, "time_limit": seconds},
        )  # fmt: skip
        if answer.status == 2:
            return "none", None, np.inf
        bound = answer.mip_dual_bound if whole else answer.fun
        bound = -np.inf if bound is None else bound + self.fixed
        return ("late", None, bound) if answer.x is None else ("found", answer.x[: self.binaries], bound)

    def _constraint(self) -> LinearConstraint:
        known = 0 if self._matrix is None else self._matrix.shape[0]
        if known < len(self._rows):
            new = self._rows[known:]
            entries = [(at, column, value) for at, (row, _) in enumerate(new) for column, value in row.items()]
            rows, columns, values = zip(*entries) if entries else ((), (), ())
            block = coo_array((values, (rows, columns)), shape=(len(new), self.size)).tocsr()
            self._matrix = block if self._matrix is None else vstack([self._matrix, block], format="csr")
        return LinearConstraint(self._matrix, np.array([bound for _, bound in self._rows]), np.inf)

    def choice(self, values: Sequence[float]) -> Choice:
        """The choice nearest to values of the y."""
        return tuple(sum(values[self.column[i, k]] > 0.5 for k in range(1, len(options))) for i, options in enumerate(self.plant.options))


def prove(plant: Plant, best: Found | None, start: Choice) -> Iterator[Progress]:
    """Search on from what local search has found, `best` where it meets all rules, else None, until nothing cheaper can be, or HiGHS gets no further."""
    held = plant.held(start)
    model, cuts = Model(held), []
    bound = 0.0

    def refuse(choice: Choice) -> bool:
        """Exclude a choice that breaks a rule; whether it does."""
        new = list(_cuts(held, choice))
        for cut in new:
            model.exclude(cut)
        cuts.extend(new)
        return bool(new)

    def progress(done: bool = False, impossible: bool = False) -> Progress:
        return Progress(min(bound, best.price) if best else bound, best, done, impossible, tuple(cuts))

    for _ in range(_ROUNDS_OF_LPS):
        status, values, least = model.solved(whole=False, cheaper_than=best and best.price)
        if status != "found":
            break
        bound = max(bound, least)
        yield progress()
        if not refuse(held.narrowed(held.widened(model.choice(values)))):
            break
    gap, patience = _ROUGH_GAP, _PATIENCE
    while patience <= _LONGEST_SOLVE:
        status, values, least = model.solved(whole=True, gap=gap, cheaper_than=best and best.price, seconds=patience)
        if status == "none":
            bound = best.price if best else bound
            yield progress(done=True, impossible=best is None)
            return
        bound = max(bound, least)
        yield progress()
        if status == "late":
            patience *= 2
            continue
        choice = model.choice(values)
        if refuse(choice):
            continue
        found = look(plant, choice)
        if found.off == 0.0 and (best is None or found.price < best.price):
            best = found
        else:
            _exclude_alone(model, cuts, choice)
        gap = 0.0


def _exclude_alone(model: Model, cuts: list[Cut], choice: Choice) -> None:
    cut = Cut(None, tuple(enumerate(choice)), tuple(enumerate(choice)))
    model.exclude(cut)
    cuts.append(cut)


def _cuts(plant: Plant, choice: Choice) -> Iterator[Cut]:
    """A cut for the most broken rules of a choice, one for each gate set at least."""
    broken = sorted(((by, rule) for answer in plant.answers(choice) for rule, by in answer.broken), key=lambda pair: -pair[0])
    firsts = list({rule.gate_set: rule for _, rule in reversed(broken)}.values())
    rest = [rule for _, rule in broken if rule not in firsts]
    for rule in (firsts + rest)[:_CUTS_A_CHOICE]:
        yield widened(plant, choice, rule)


def widened(plant: Plant, choice: Choice, rule: Rule) -> Cut:
    """The largest box around a choice that the best corner of breaks the rule in too, as grown one run after the other."""
    helps, hinders, own = _sides(plant, rule)
    corner = list(choice)
    for i in (*hinders, *helps):
        end = len(plant.options[i]) - 1 if i in helps else 0
        step = 1 if end > corner[i] else -1
        for k in range(end, corner[i], -step):
            tried = corner.copy()
            tried[i] = k
            if plant.breaks(tuple(tried), rule):
                corner = tried
                break
    above = [(i, corner[i]) for i in helps] + [(i, choice[i]) for i in own]
    below = [(i, corner[i]) for i in hinders] + [(i, choice[i]) for i in own]
    return Cut(rule, tuple(above), tuple(below))


def _sides(plant: Plant, rule: Rule) -> tuple[list[int], list[int], list[int]]:
    """The runs whose larger bores help against a broken rule, those whose smaller ones do, and those held as they are."""
    live = plant.live[rule.gate_set]
    if rule.kind == "least":
        way = set(plant.way_to(rule.what))
        return [i for i in live if i in way], [i for i in live if i not in way], []
    run = plant.tree.index[rule.what]
    near, at = {run}, run
    while plant.parent[at] >= 0:
        at = plant.parent[at]
        near.add(at)
    beyond = [run]
    for kid in beyond:
        beyond.extend(plant.children[kid])
    near |= set(beyond)
    near.discard(run)
    raising = [i for i in live if i in near], [i for i in live if i not in near and i != run], [run]
    return raising if rule.kind == "slow" else (raising[1], raising[0], raising[2])
