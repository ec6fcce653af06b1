"""Buying in stages: which runs to hang first, so that machines work soonest for the money."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engine.design import Design, bore_of, children_of, defaults, stock_sizes
from engine.design.meaning import work_on
from engine.parts.price import run_price, wants_reducer


@dataclass(frozen=True, slots=True)
class Stage:
    """What is bought at once: the machines that can work then, the runs hung for them, what these cost.

    `over` says that it is one machine's and costs more than the budget;
    `unpriced` names what nothing gives a price for.
    """

    machines: tuple[str, ...]
    runs: tuple[str, ...]
    price: float
    over: bool
    unpriced: tuple[str, ...]


def stages(design: Design, budget: float) -> tuple[Stage, ...]:
    """Stages of at most `budget` each, in the currency of the stock's prices, which is more than 0.

    Next comes the machine that costs the least for its hours of work a week,
    where all machines say their hours, else that which costs the least; runs
    that are bought cost nothing. A
    machine works when every port of it that a run ends at has its way. What
    fittings cost is estimated where they have no price (`engine.parts.price`).
    """
    prices, ways = _prices(design), _ways(design)
    hours = {machine.id: machine.hours or 0.0 for machine in design.machines}
    weighed = all(hours[name] > 0 for name in ways)
    waiting, found = dict(ways), list[Stage]()
    hung = {run.id for run in design.runs if work_on(run) != defaults.STATE}
    while waiting:

        def cost(name: str) -> float:
            return sum(prices[run][0] for run in waiting[name] if run not in hung)

        name = min(waiting, key=lambda name: cost(name) / (hours[name] if weighed else 1.0))
        price = cost(name)
        runs = tuple(run for run in waiting.pop(name) if run not in hung)
        unpriced = tuple(sorted({size for run in runs for size in prices[run][1]}))
        hung.update(runs)
        last = found[-1] if found else None
        if last and (last.price + price <= budget or not runs):
            both = tuple(dict.fromkeys((*last.unpriced, *unpriced)))
            found[-1] = Stage((*last.machines, name), (*last.runs, *runs), last.price + price, last.over, both)
        else:
            found.append(Stage((name,), runs, price, price > budget, unpriced))
    return tuple(found)


def _prices(design: Design) -> Mapping[str, tuple[float, tuple[str, ...]]]:
    """What every run costs with the fittings at its ends, and what of it has no price."""
    sizes, joined, runs = stock_sizes(design), children_of(design), {run.id: run for run in design.runs}
    found = {}
    for run in design.runs:
        own = run_price(run, joined[run.id], sizes)
        inner = design.collector.inlet.si if run.joins == "collector" else bore_of(runs[run.joins], sizes)
        reducer = own.reducer if wants_reducer(run, bore_of(run, sizes), inner) else 0.0
        found[run.id] = own.pipe + own.joints + reducer, own.unpriced
    return found


def _ways(design: Design) -> dict[str, tuple[str, ...]]:
    """The runs each machine needs, from the collector outward; machines that no run leads to are left out."""
    runs, found = {run.id: run for run in design.runs}, dict[str, dict[str, None]]()
    for run in design.runs:
        if run.ends:
            way = [run.id]
            while (parent := runs[way[-1]].joins) != "collector":
                way.append(parent)
            found.setdefault(run.ends.partition("/")[0], {}).update(dict.fromkeys(reversed(way)))
    return {machine: tuple(way) for machine, way in found.items()}
