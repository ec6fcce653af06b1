"""Remedies for random shops: nothing offered makes worse what matters, and the search leaves the design alone."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from engine.checks.assess import assess
from engine.design import GateSet, Leakage
from engine.design.rules.consistency import mistakes
from engine.search.remedies import remedies
from tests.engine.search.remedies.harm import harmless
from tests.shops.set_shops import seeded


@pytest.mark.parametrize("seed", range(20))
def test_nothing_offered_for_a_random_shop_makes_worse_what_matters(seed):
    before = assess(random_design(seed))
    *_, last = remedies(before.design, before, pairs=seed % 4 == 0)
    for one in last.proposals[:12]:
        harmless(before, one)


def random_design(seed):
    rng, design = Random(seed), seeded(seed)
    machines = [one.id for one in design.machines]
    sets = tuple(GateSet(name=f"set {i}", open=tuple(rng.sample(machines, rng.randint(1, len(machines))))) for i in range(3))
    return replace(design, gate_sets=sets, leakage=Leakage(tightness=rng.choice([None, "A"])))


@pytest.mark.parametrize("seed", range(8))
def test_random_designs_are_searched_without_harm(seed):
    design = random_design(seed)
    before, text = assess(design), repr(design)
    *_, last = remedies(design, before, pairs=seed % 2 == 0)
    assert before.design is design and repr(design) == text
    for one in last.proposals:
        assert mistakes(one.design) == () and one.design != design
        assert len(one.title) > 5 and "\n" not in one.title + one.reason
