"""Remedies for random shops: nothing offered makes worse what matters, and the search leaves the design alone."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from random import Random

import pytest

from engine.checks.assess import assess
from engine.design import GateSet, Leakage
from engine.design.rules.consistency import mistakes
from engine.search.remedies import remedies
from tests.engine.search.remedies.harm import harmless
from tests.shops.set_shops import seeded

WITH_PAIRS = {0, 2, 4, 6, 8, 12, 16}


@cache
def searched(seed):
    """A random shop as it is, its text before it was searched, and what the search offers; searched once."""
    before = assess(random_design(seed))
    text = repr(before.design)
    *_, last = remedies(before.design, before, pairs=seed in WITH_PAIRS)
    return before, text, last.proposals


def random_design(seed):
    rng, design = Random(seed), seeded(seed)
    machines = [one.id for one in design.machines]
    sets = tuple(GateSet(name=f"set {i}", open=tuple(rng.sample(machines, rng.randint(1, len(machines))))) for i in range(3))
    return replace(design, gate_sets=sets, leakage=Leakage(tightness=rng.choice([None, "A"])))


@pytest.mark.parametrize("seed", range(20))
def test_nothing_offered_for_a_random_shop_makes_worse_what_matters(seed):
    before, _, offered = searched(seed)
    for one in offered[:12]:
        harmless(before, one)


@pytest.mark.parametrize("seed", range(8))
def test_random_designs_are_searched_without_harm(seed):
    before, text, offered = searched(seed)
    assert before.design == random_design(seed) and repr(before.design) == text
    for one in offered:
        assert mistakes(one.design) == () and one.design != before.design
        assert len(one.title) > 5 and "\n" not in one.title + one.reason
