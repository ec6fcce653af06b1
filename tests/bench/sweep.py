"""Ten thousand random networks, from plausible to absurd: how many fail to balance, how far off the worst is, how long it takes.

python -m tests.bench.sweep [FIRST] [LAST]
"""

from __future__ import annotations

import sys
from random import Random
from time import perf_counter

from engine import NotConverged, compile_tree, solve
from tests.shops.random_shops import random_design, random_ports


def sweep(first: int, last: int) -> None:
    """Balance the designs of these seeds, odd ones plausible, and print what came of it."""
    failed, held, worst, times = [], 0, 0.0, []
    for seed in range(first, last):
        rng = Random(seed)
        design = random_design(rng, plausible=seed % 2 == 1)
        tree, ports = compile_tree(design), random_ports(rng, design)
        began = perf_counter()
        try:
            balance = solve(tree, ports)
            held += bool(balance.blown_back)
            worst = max(worst, balance.imbalance)
        except NotConverged:
            failed.append(seed)
        times.append(perf_counter() - began)
    times.sort()
    print(f"networks        {last - first}")
    print(f"failed          {len(failed)} {failed[:20]}")
    print(f"with blow-back  {held}")
    print(f"worst imbalance {worst:.2e} Pa")
    print(f"ms a solve      median {1e3 * times[len(times) // 2]:.2f}, p99 {1e3 * times[len(times) * 99 // 100]:.1f}, longest {1e3 * times[-1]:.0f}")


if __name__ == "__main__":
    arguments = [int(word) for word in sys.argv[1:3]] or [0, 10000]
    sweep(*arguments)
