"""Drafts of shops that were made backwards from ducts without a fault, and of the saved designs' rooms.

Run `python -m tests.bench.drafts [how many shops]`.
"""

from __future__ import annotations

import sys
from statistics import mean, median
from time import perf_counter

from engine import load
from engine.checks.assess import assess
from engine.design import Design
from engine.search.layouts.proposing import drafts
from engine.search.proposals import Proposal, standing
from engine.search.ranking import Rank
from tests import DEMO_FILES
from tests.shops.sound_shops import sound_shop

_SHOPS = 200
# What a draft may cost more than the ducts that its shop was made from, a share of them.
_DEARER = 0.1


def main(shops: int = _SHOPS) -> None:
    """Print both tables."""
    sound, cheap, prices, first, whole = 0, 0, list[float](), list[float](), list[float]()
    for seed in range(shops):
        shop = sound_shop(seed)
        best, at_first, at_last = _best(shop.bare)
        without_fault = not assess(best.design).count("fault")
        share = best.standing.price / shop.price
        sound, cheap = sound + without_fault, cheap + (without_fault and share <= 1.0 + _DEARER)
        prices += [share] if without_fault else []
        first.append(at_first)
        whole.append(at_last)
        if not without_fault or share > 1.0 + _DEARER:
            print(f"seed {seed}: {len(shop.bare.machines)} machines, {best.standing.faults} faults, price {share:.0%} of the ducts it was made from")
    print(f"{shops} shops: {sound} without a fault, {cheap} of them at most {_DEARER:.0%} dearer")
    print(f"price where without a fault: median {median(prices):.0%}, dearest {max(prices):.0%} of the ducts they were made from")
    print(f"first draft after {mean(first):.2f} s, {max(first):.2f} s at most; all after {mean(whole):.2f} s, {max(whole):.2f} s at most\n")
    for path in DEMO_FILES:
        design = load(path)
        own, (best, at_first, at_last) = standing(assess(design)), _best(design)
        print(f"{path.stem}: first draft after {at_first:.2f} s, all after {at_last:.2f} s")
        print(f"  as built    {_told(own.rank)}, {own.faults} faults")
        print(f"  best draft  {_told(best.standing.rank)}, {best.standing.faults} faults")


def _best(design: Design) -> tuple[Proposal, float, float]:
    """The best draft, and the seconds to the first one and to the last."""
    begun, first = perf_counter(), 0.0
    for step in drafts(design):
        if step.proposals and not first:
            first = perf_counter() - begun
    return step.proposals[0], first, perf_counter() - begun


def _told(rank: Rank) -> str:
    return (
        f"unfit {rank.unfit}, tenths short {rank.short}, settling {rank.settling}, other faults {rank.faults}, "
        f"fast {rank.fast}, cautions {rank.cautions}, price {rank.price:.0f}"
    )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:2]))
