"""The bands of flows: what they take, and against two thousand draws of all that is doubtful, which share each covers, wanted 85 to 95 per cent.

python -m tests.bench.bands [DRAWS]
"""

from __future__ import annotations

import sys
from dataclasses import replace
from random import Random

from engine import load
from engine.air.bands import band, bands, doubts
from engine.checks.assess import assess
from engine.design import Design
from tests import DEMO_FILES
from tests.bench.clock import milliseconds, seconds
from tests.shops.drawn_doubts import coverage
from tests.shops.random_shops import random_design


def main(draws: int = 2000) -> None:
    """Print the share of every gate set of the saved designs, and of random shops where the loss of some ports is guessed."""
    shares: list[float] = []
    for name, design in [*((path.stem, load(path)) for path in DEMO_FILES), *map(_random, range(1, 41, 2))]:
        assessment = assess(design)
        for result in assessment.sets:
            if result.balance is None or result.balance.blown_back:
                continue
            found = sorted(coverage(assessment, result, draws).values())
            shares += found
            print(f"{name[:22]:22} {result.gate_set.name[:34]:34} {len(found):2} ports  {found[0]:.3f} to {found[-1]:.3f}", flush=True)
    within = sum(0.85 <= share <= 0.95 for share in shares)
    print(f"{len(shares)} ports: mean {sum(shares) / len(shares):.3f}, {min(shares):.3f} to {max(shares):.3f}; {within} within 0.85 to 0.95")


def speeds() -> None:
    """Print what the doubts of each saved design take, the slowest of its gate sets, and all of them with their doubts."""
    for path in DEMO_FILES:
        design = load(path)
        found = assess(design)
        about = doubts(design, found.tree)
        slowest = max(seconds(lambda result=result: band(about, result), most=0.1) for result in found.sets)
        whole, taken = (seconds(call) for call in (lambda: bands(design, found.tree, found.sets), lambda: doubts(design, found.tree)))
        times = f"doubts {milliseconds(taken)} ms, a gate set {milliseconds(slowest)} ms at most, {len(found.sets)} sets {milliseconds(whole)} ms"
        print(f"{path.stem:22} {times}")


def _random(seed: int) -> tuple[str, Design]:
    rng = Random(seed)
    design = random_design(rng, plausible=True)
    machines = tuple(
        replace(one, ports=tuple(replace(port, loss=None if rng.random() < 0.5 else port.loss) for port in one.ports)) for one in design.machines
    )
    return f"random {seed}", replace(design, machines=machines)


if __name__ == "__main__":
    speeds()
    main(*map(int, sys.argv[1:2]))
