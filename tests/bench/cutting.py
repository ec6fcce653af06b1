"""Cutting random lists: how many are proven within the time a list has, how far the others are from their bound, and how long it takes.

python -m tests.bench.cutting [LISTS]
"""

from __future__ import annotations

import sys
from random import Random
from time import process_time

from engine.parts.cutting import Cut, Stick, cutting

_KERF = 0.003
_SOLD = {
    "sticks of 3 m": [Stick(3.0)],
    "2 and 3 m by price": [Stick(2.0, 8.0), Stick(3.0, 11.0)],
    "and offcuts in hand": [Stick(2.0, 8.0), Stick(3.0, 11.0), Stick(0.8, None, 2), Stick(1.3, None, 1)],
}
_SPANS = ((200, 1500), (100, 800), (800, 1600), (300, 2900))  # mm


def main(lists: int = 5) -> None:
    """Print a row for every number of cuts and every choice of sticks; times are those of the processor."""
    print(f"{'cuts':>5} {'sticks':<20} {'proven':>9} {'farthest off':>13} {'mean s':>7} {'worst s':>8}")
    for count in (10, 30, 60, 150):
        for name, sold in _SOLD.items():
            proven, off, taken = 0, 0.0, list[float]()
            for low, high in _SPANS:
                for seed in range(lists):
                    random = Random(seed)
                    cuts = [Cut(str(i), random.randrange(low, min(high, 2900)) / 1000) for i in range(count)]
                    begun = process_time()
                    found = cutting(cuts, sold, _KERF)
                    taken.append(process_time() - begun)
                    proven += found.proven
                    off = max(off, found.total / found.bound - 1)
            row = f"{proven}/{len(taken)}"
            print(f"{count:>5} {name:<20} {row:>9} {off:>12.1%} {sum(taken) / len(taken):>7.3f} {max(taken):>8.2f}", flush=True)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:2]))
