"""How well tuning finds a known truth again: `python -m tests.bench.tuning`.

The truths are drawn from what is believed of each unknown, the readings taken
with 2 % noise at every stop of the test sheet. Printed are the readings, the
time, how many of the truths lie where they are said to nine times in ten, how
far the factors are off on the average (of their logarithms) before and after,
and the flows of ports that nobody read.
"""

from __future__ import annotations

from dataclasses import replace
from math import log
from random import Random
from statistics import fmean
from time import process_time

from engine import load
from engine.checks.assess import assess
from engine.design import Design
from engine.field.built import as_built
from engine.field.tuning import fit
from engine.field.unknowns import tuned_by, unknowns
from tests import SAVED_DESIGNS
from tests.shops.measured_shops import measured
from tests.shops.random_shops import random_design, typed

_DEMOS, _RANDOM, _TRUTHS = ("signal_box", "boat_shed"), 10, 5


def _row(name: str, design: Design, truths: int, rng: Random) -> str:
    every = unknowns(as_built(design), [run.ends for run in design.runs if run.ends])
    inside, count, seconds = 0, 0, 0.0
    off: dict[str, list[float]] = {"before": [], "after": [], "flows before": [], "flows after": []}
    for _ in range(truths):
        at = [min(abs(rng.gauss(0, 1)) if one.from_nothing else rng.gauss(0, 1), 2.0) for one in every]
        truth = tuned_by(every, at)
        shop = measured(design, truth, noise=0.02, seed=rng.randrange(1000))
        began = process_time()
        found = fit(shop)
        seconds += process_time() - began
        told = {one.of: one for one in found.moved}
        for unknown, x in zip(every, at, strict=True):
            true, one = truth.loss_of(unknown.of) if "/" in unknown.of else unknown.factor(x), told[unknown.of]
            inside, count = inside + (one.low <= true <= one.high), count + 1
            if not unknown.from_nothing:
                off["before"].append(abs(log(true)))
                off["after"].append(abs(log(one.factor / true)))
        real, plain, tuned = (_flows(each) for each in (replace(shop, tuned=truth), design, found.design))
        off["flows before"] += [abs(plain[key] / flow - 1.0) for key, flow in real.items() if flow and key in plain]
        off["flows after"] += [abs(tuned[key] / flow - 1.0) for key, flow in real.items() if flow and key in tuned]
    means = {key: fmean(values) for key, values in off.items()}
    return (
        f"{name:<12} {len(shop.readings):>3} readings {seconds / truths:>5.1f} s  inside {inside / count:>4.0%}  factors {means['before']:.2f} -> "
        f"{means['after']:.2f}  flows {means['flows before']:.1%} -> {means['flows after']:.1%}"
    )


def _flows(design: Design) -> dict[tuple[str, str], float]:
    balances = [(result.gate_set.name, result.balance) for result in assess(design).sets if result.balance]
    return {(name, port): state.flow for name, balance in balances for port, state in balance.ports.items()}


def main() -> None:
    """Print the demos and random shops."""
    rng = Random(1)
    for name in _DEMOS:
        print(_row(name, load(SAVED_DESIGNS / f"{name}.toml"), _TRUTHS, rng), flush=True)
    for seed in range(_RANDOM):
        design = typed(random_design(Random(seed), 12, plausible=True))
        print(_row(f"random {seed}", design, _TRUTHS, rng), flush=True)


if __name__ == "__main__":
    main()
