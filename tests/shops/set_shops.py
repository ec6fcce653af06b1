"""Designs to try every set of machines on."""

from __future__ import annotations

from random import Random

from engine.air.one.network import compile_tree
from engine.checks.look import Look, look_at
from engine.design import Conveying, Design, Gate
from tests import DEMO_FILES
from tests.shops.random_shops import random_design
from tests.shops.small_shops import machine, run, shop, si

DEMOS = DEMO_FILES
ANY_SPEED = Conveying(slow_branch=si(1e-9), slow_main=si(1e-9), settles=si(1e-9), fast=si(1e9))


def look_of(design: Design) -> Look:
    """The design compiled, with its limits."""
    return look_at(design, compile_tree(design))


def seeded(seed: int) -> Design:
    """A random design of up to 12 machines or so; plausible where the seed is odd."""
    return random_design(Random(seed), 12, plausible=seed % 2 == 1)


def star(count: int, needs: float = 0.1) -> Design:
    """Equal gated branches on one main; machines m0, m1 ... that need so much, m3/s."""
    drops = [run(f"r{i}", "main", 100, Gate(name=f"gate {i}"), 4.0, as_="branch", angle=si(0.5), loss=0.2, ends=f"m{i}/hood") for i in range(count)]
    return shop(run("main", "collector", 160, 3.0), *drops, machines=[machine(f"m{i}", needs=needs) for i in range(count)])
