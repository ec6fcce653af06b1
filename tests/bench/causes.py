"""Faults hidden in shops that differ a little from their designs, and found by readings where the search asks for them.

Run `python -m tests.bench.causes [trials of each kind in a shop] [random shops] [0 for no baseline]`.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from random import Random
from time import process_time

from engine import load
from engine.catalog.causes import cause_kinds, nothing_wrong
from engine.design import Design
from engine.field.causes.suspects import NOTHING
from tests import DEMO_FILES
from tests.shops.hidden_faults import Trial, aged, condition_of, fault, trial, with_baseline
from tests.shops.sound_shops import sound_shop

_TRIALS, _SHOPS = 2, 20
_LOOKS = (3, 6)
_HEALTHY = 3  # so many healthy shops for a trial of each kind


def trials_of(design: Design, count: int, rng: Random, *, baseline: bool = True) -> Iterator[Trial]:
    """So many trials of each kind, and of shops with nothing wrong."""
    for number in range(count):
        shop = aged(design, rng)
        known = with_baseline(design, shop, rng) if baseline else replace(design, readings=())
        for cause in cause_kinds():
            found = fault(design, shop, cause, rng)
            if found:
                yield trial(known, found[1], cause, found[0], rng, max(_LOOKS))
        for _ in range(_HEALTHY):
            yield trial(known, condition_of(shop), NOTHING, "", rng, max(_LOOKS))


def shops(random: int) -> Iterator[tuple[str, Design]]:
    """The demos, and random shops without a fault."""
    yield from ((path.stem, load(path)) for path in DEMO_FILES)
    yield from ((f"shop {seed}", sound_shop(seed).made_from) for seed in range(random))


def main(count: int = _TRIALS, random: int = _SHOPS, baseline: bool = True) -> None:
    """Print the tables."""
    found: list[Trial] = []
    for name, design in shops(random):
        begun = process_time()
        own = list(trials_of(design, count, Random(name), baseline=baseline))
        found += own
        taken = (process_time() - begun) / len(own)
        print(f"{name:18} {len(own):3} trials, {taken:.2f} s each; first {_share(own, 3, 1)}, {_share(own, 6, 1)}", flush=True)
    print(f"\n{'cause':16} trials  first, in the first three after 3 readings; after 6; places told as one")
    for kind in (*cause_kinds(), NOTHING, None):
        own = [one for one in found if (one.cause != NOTHING if kind is None else one.cause == kind)]
        if own:
            ties = sum(len(one.told[-1][0].candidates) for one in own) / len(own)
            print(f"{kind or 'all causes':16} {len(own):6}  {'  '.join(_share(own, at, top) for at in _LOOKS for top in (1, 3))}  {ties:5.1f}")
    for at in _LOOKS:
        print(f"\nafter {at} readings, what is first: told to be true, true, by kinds as often as they happen")
        for low, told, true, number in calibration(found, at):
            print(f"{low:.1f} to {low + 0.1:.1f}  {told:6.1%} {true:6.1%}  {number}")


def _share(trials: list[Trial], readings: int, top: int) -> str:
    return f"{sum(one.rank(readings) < top for one in trials) / len(trials):5.0%}"


def calibration(trials: list[Trial], readings: int) -> Iterator[tuple[float, float, float, int]]:
    """By tenths: from where, what was told, how often it was true, of how many trials; each kind weighs as often as it happens."""
    often = {kind.id: kind.often for kind in cause_kinds().values()} | {NOTHING: nothing_wrong()}
    count = {cause: sum(one.cause == cause for one in trials) for cause in often}
    for tenth in range(10):
        own = [one for one in trials if min(int(one.told[readings - 1][0].probability * 10), 9) == tenth]
        if own:
            weights = [often[one.cause] / count[one.cause] for one in own]
            told = sum(weight * one.told[readings - 1][0].probability for weight, one in zip(weights, own, strict=True))
            true = sum(weight for weight, one in zip(weights, own, strict=True) if one.rank(readings) == 0)
            yield tenth / 10, told / sum(weights), true / sum(weights), len(own)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:4]))
