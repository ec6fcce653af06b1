"""How fast sizes are found and proven: the demos, hard random shops, and 300 small ones against every choice tried.

    python -m tests.bench.sizing [HARD] [SMALL]

HARD shops of 19 runs, 8 sizes and 20 gate sets (24), 25 s each; SMALL shops (300).
"""

from __future__ import annotations

import sys
from time import perf_counter

from engine import load
from engine.search.sizing import local, sizes
from engine.search.sizing.plant import plant_of
from engine.search.sizing.proof import prove
from tests import DEMO_FILES, SAVED_DESIGNS
from tests.shops.sizing_shops import every_choice, hard_shop, small_shop

DEMOS = SAVED_DESIGNS
_LONGEST = 25.0


def demos() -> None:
    """First answer and end of the whole search."""
    for path in DEMO_FILES:
        began, first = perf_counter(), 0.0
        for step in sizes(load(path)):
            first = first or (perf_counter() - began if step.proposals else 0.0)
        print(f"{path.stem:<20} first answer {first:5.2f} s   end {perf_counter() - began:6.2f} s   {step.said.splitlines()[-1][:60]}")


def hard(count: int) -> None:
    """Large shops: decided within the time, or with what bound."""
    decided, firsts = 0, []
    for seed in range(count):
        plant, began, first = plant_of(hard_shop(seed), lenient=True), perf_counter(), 0.0
        for best in local.search(plant, local.cheapest):
            if best.off == 0.0 and first == 0.0:
                firsts.append(first := perf_counter() - began)
        for progress in prove(plant, best if best.off == 0.0 else None, best.choice):
            if perf_counter() - began > _LONGEST:
                break
        decided += progress.done
        what = "none keeps the rules" if progress.impossible else "no answer yet" if progress.best is None else f"{progress.best.price:.2f}"
        print(f"  {seed:>3} {perf_counter() - began:6.1f} s  {what:<22} bound {progress.bound:9.2f}  {'decided' if progress.done else ''}")
    longest = max(firsts, default=0.0)
    print(f"hard {decided} of {count} decided in {_LONGEST:.0f} s each; first sizes that keep the rules, where any do: {longest:.2f} s at most")


def small(count: int) -> None:
    """Small shops against every choice tried, with the full law."""
    wrong = dearer = feasible = 0
    began = perf_counter()
    for seed in range(count):
        plant = plant_of(small_shop(seed), lenient=True)
        *_, near = local.search(plant, local.cheapest)
        *_, got = prove(plant, near if near.off == 0.0 else None, near.choice)
        want = every_choice(plant)
        feasible += want is not None
        wrong += bool(got.best) and (want is None or got.best.off > 0)
        dearer += want is not None and (got.best is None or got.best.price > want.price + 1e-6)
    print(f"small {count}: {feasible} can be met; {wrong} wrong; {dearer} dearer than need be, or not found; {perf_counter() - began:.1f} s")


if __name__ == "__main__":
    given = [int(text) for text in sys.argv[1:]]
    demos()
    small((given[1:] or [300])[0])
    hard((given[:1] or [24])[0])
