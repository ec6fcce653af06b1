"""Buying in stages: which runs to hang first, so that machines work soonest for the money."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import inf

from engine.design import Design, Run, bore_of, children_of, defaults, ports_of, stock_sizes
from engine.design.meaning import work_on, works_on
from engine.parts.price import run_price, wants_reducer
from engine.values import dataclass

MOST_BUDGET = 1e9
# Money nearer to a limit than this is within it.
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Stage:
    """What is bought at once: the runs that are hung, what these cost, the machines that can work then, if any.

    `over` says that one run alone costs more than the budget; `unpriced`
    names what nothing gives a price for.
    """

    machines: tuple[str, ...]
    runs: tuple[str, ...]
    price: float
    over: bool
    unpriced: tuple[str, ...]

    def with_more(self, machine: str, other: Stage) -> Stage:
        """Both as one, after which a machine works too."""
        unpriced = tuple(dict.fromkeys((*self.unpriced, *other.unpriced)))
        return replace(self, machines=(*self.machines, machine), runs=(*self.runs, *other.runs), price=self.price + other.price, unpriced=unpriced)


@dataclass(frozen=True, slots=True)
class Least:
    """The least budgets: with `any_stage` no stage is over, with `machine` a machine works after the first; 0 where nothing is to buy."""

    any_stage: float
    machine: float


def stages(design: Design, budget: float | None = None) -> tuple[Stage, ...]:
    """Stages of at most `budget` each, more than 0, in the currency of the stock's prices; without one each makes one machine work.

    Next comes, of the machines whose way fits what is left of the budget, else
    a whole one, that which costs the least for its hours of work a week, where
    all machines say their hours, else that which costs the least. Where no way
    fits a budget, runs of that which takes the fewest stages are hung from the
    collector outward, a stage for as many as it pays for. What is bought costs nothing. A machine
    works when every port of it that a run ends at has its way. What fittings
    cost is estimated where they have no price (`engine.parts.price`).
    """
    costs, waiting = _costs(design), {name: way for name, way in _ways(design).items() if name not in at_work(design)}
    hours = {machine.id: machine.hours or 0.0 for machine in design.machines}
    weights = hours if all(hours[name] > 0 for name in waiting) else dict.fromkeys(waiting, 1.0)
    found, hung, limit = list[Stage](), {run.id for run in design.runs if _is_had(run)}, inf if budget is None else budget + _ROUNDING

    def rest(name: str) -> Stage:
        return _stage((name,), [run for run in waiting[name] if run not in hung], costs)

    while waiting:
        offers = {name: rest(name) for name in waiting}
        left = limit - found[-1].price if found and budget is not None else -inf
        more = [name for name, one in offers.items() if not one.runs or one.price <= left]
        fits = more or [name for name, one in offers.items() if one.price <= limit] or list(waiting)
        name = min(fits, key=lambda name: (len([*_in_turn(offers[name], costs, limit)]), offers[name].price / weights[name]))
        one = offers[name]
        del waiting[name]
        hung.update(one.runs)
        if found and name in more:
            found[-1] = found[-1].with_more(name, one)
        else:
            found += [one] if one.price <= limit else _in_turn(one, costs, limit)
    return tuple(found)


def at_work(design: Design) -> tuple[str, ...]:
    """The machines whose whole way is bought."""
    had = {run.id for run in design.runs if _is_had(run)}
    return tuple(name for name, way in _ways(design).items() if had.issuperset(way))


def least(design: Design) -> Least:
    """The least budgets that work."""
    costs = _costs(design)
    ways = [sum(costs[run][0] for run in way) for name, way in _ways(design).items() if name not in at_work(design)]
    return Least(max((costs[run][0] for way in _ways(design).values() for run in way), default=0.0), min(ways, default=0.0))


def _in_turn(whole: Stage, costs: Mapping[str, tuple[float, tuple[str, ...]]], limit: float) -> Iterator[Stage]:
    """A way that costs more than the limit, run by run: as many at once as it pays for; the machine works with the last."""
    runs = list[str]()
    for run in whole.runs:
        if runs and sum(costs[one][0] for one in (*runs, run)) > limit:
            yield _stage((), runs, costs, limit)
            runs = []
        runs.append(run)
    yield _stage(whole.machines, runs, costs, limit)


def _stage(machines: tuple[str, ...], runs: list[str], costs: Mapping[str, tuple[float, tuple[str, ...]]], limit: float = inf) -> Stage:
    price = sum(costs[run][0] for run in runs)
    return Stage(machines, tuple(runs), price, price > limit, tuple(sorted({size for run in runs for size in costs[run][1]})))


def _is_had(run: Run) -> bool:
    """Whether nothing of a run is to be bought any more."""
    return defaults.STATE not in works_on(run)


def _costs(design: Design) -> Mapping[str, tuple[float, tuple[str, ...]]]:
    """What is still to be bought of every run costs, with the fittings at its ends, and what of it has no price."""
    sizes, joined, runs = stock_sizes(design), children_of(design), {run.id: run for run in design.runs}
    found = {}
    for run in design.runs:
        wanted = replace(run, pieces=tuple(piece for piece in run.pieces if work_on(run, piece) == defaults.STATE))
        own, planned = run_price(wanted, joined[run.id], sizes), work_on(run) == defaults.STATE
        inner = design.collector.inlet.si if run.joins == "collector" else bore_of(runs[run.joins], sizes)
        reducer = own.reducer if wants_reducer(run, bore_of(run, sizes), inner) else 0.0
        found[run.id] = own.pipe + (own.joints + reducer if planned else 0.0), own.unpriced
    return found


def _ways(design: Design) -> dict[str, tuple[str, ...]]:
    """The runs each machine needs, from the collector outward; machines that no run leads to are left out."""
    runs, ports, found = {run.id: run for run in design.runs}, ports_of(design), dict[str, dict[str, None]]()
    for run in design.runs:
        if run.ends:
            way = [run.id]
            while (parent := runs[way[-1]].joins) != "collector":
                way.append(parent)
            found.setdefault(ports[run.ends][0].id, {}).update(dict.fromkeys(reversed(way)))
    return {machine: tuple(way) for machine, way in found.items()}
