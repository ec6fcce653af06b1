"""Random shops whose sizes are open: small ones to try every choice of, large ones to search. Invented data."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from itertools import product
from math import radians
from random import Random

import pytest

from engine.design import Design, Gate, GateSet, Run, Stock
from engine.files.design_file import load
from engine.search.proposals import Step
from engine.search.sizing import local, sizes
from engine.search.sizing.local import Found
from engine.search.sizing.plant import Plant, plant_of
from engine.search.sizing.proposing import BestByAim
from tests import SAVED_DESIGNS
from tests.shops.small_shops import machine, pipe, run, shop, si

BORES = (80, 90, 100, 112, 125, 140, 160, 180, 200, 224)


@dataclass(frozen=True, slots=True)
class Searched:
    """The last step of a search, and every choice it took note of in the last round of rules, as figures."""

    last: Step
    found: tuple[Found, ...]


def shop_named(name: int | str) -> Design:
    """The small shop of a seed, or a saved design."""
    return small_shop(name) if isinstance(name, int) else load(SAVED_DESIGNS / f"{name}.toml")


@cache
def searched(name: int | str) -> Searched:
    """The search for the sizes of `shop_named`; searched once, for it takes seconds."""
    found: list[tuple[BestByAim, Found]] = []

    def take(best: BestByAim, one: Found) -> bool:
        if not found or found[-1][0] is not best:
            found.clear()
        found.append((best, one))
        return noted(best, one)

    noted = BestByAim.take
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(BestByAim, "take", take)
        *_, last = sizes(shop_named(name))
    return Searched(last, tuple(one for _, one in found))


def small_shop(seed: int, *, alone: bool = False) -> Design:
    """Two or three machines on one main, three or four sizes, up to three gate sets; `alone`: one machine in each."""
    rng = Random(seed)
    count = rng.randint(2, 3)
    return shop_of(rng, count, sorted(rng.sample(BORES[:9], rng.choice((3, 4)))), rng.randint(1, 3), 1 if alone else count)


def shop_of(rng: Random, count: int, bores: list[int], sets: int, most_at_work: int) -> Design:
    """So many machines on one main."""
    runs: list[Run] = [run("main", "collector", bores[-1], rng.uniform(1, 4))]
    machines, parent = [], "main"
    for i in range(count):
        made = machine(f"m{i}", rng.choice((80, 100, 120, 140)), rng.uniform(0.10, 0.22), rng.uniform(0.6, 1.8))
        machines.append(made)
        last = i == count - 1
        joint = {} if last and rng.random() < 0.5 else {"as_": "branch", "angle": si(radians(rng.choice((30, 45, 60))))}
        runs.append(run(f"drop {i}", parent, bores[0], Gate(name=f"gate {i}"), rng.uniform(0.5, 3), ends=f"m{i}/hood", **joint))
        if not last:
            runs.append(run(f"main {i + 2}", parent, bores[-1], rng.uniform(0.5, 3)))
            parent = f"main {i + 2}"
    strength = rng.uniform(0.9, 1.8)
    curve = [(0, 2400 * strength), (0.28, 2150 * strength), (0.55, 1200 * strength), (0.72 * strength, 0)]
    gate_sets = tuple(
        GateSet(name=f"set {i}", open=tuple(f"m{j}" for j in rng.sample(range(count), rng.randint(1, most_at_work)))) for i in range(sets)
    )
    made = shop(*runs, machines=machines, curve=curve)
    return replace(made, stock=(_priced(rng, pipe(*bores)),), gate_sets=gate_sets)


def _priced(rng: Random, stock: Stock) -> Stock:
    return replace(stock, sizes=tuple(replace(size, price=round(3 + 60 * size.bore.si * rng.uniform(0.9, 1.1), 2)) for size in stock.sizes))


def hard_shop(seed: int) -> Design:
    """Ten machines on a main, 19 runs of 8 sizes, in 20 gate sets of one to three."""
    return shop_of(Random(1000 + seed), 10, list(BORES[:8]), 20, 3)


def every_found(plant: Plant) -> list[Found]:
    """What each choice gives in which nothing widens outward, solved together: no other keeps the rules."""
    every = product(*(range(len(options)) for options in plant.choices.options))
    choices = [choice for choice in every if not plant.choices.widenings(choice)]
    plant.answers.prepare(choices)
    return [local.look(plant, choice) for choice in choices]


def every_choice(plant: Plant) -> Found | None:
    """The cheapest choice that keeps every rule, by trying all."""
    return min((found for found in every_found(plant) if found.off == 0.0), key=lambda found: found.price, default=None)


@cache
def cheapest_of_all(seed: int) -> Found | None:
    """Of `every_choice` in a small shop, with the full law and lenient rules; tried once."""
    return every_choice(plant_of(small_shop(seed), lenient=True))
