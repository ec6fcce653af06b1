"""Shops made backwards from ducts without a fault come out without one, and hardly dearer. Invented data; two hundred of them: tests/bench/drafts."""

from __future__ import annotations

import pytest

from engine.checks.assess import assess
from engine.parts.price import price_of
from engine.search.layouts.drafting import draft
from tests.shops.sound_shops import sound_shop


@pytest.mark.parametrize("seed", [1, 3, 8, 14, 21])
def test_what_can_be_built_without_a_fault_is_drafted_without_one(seed):
    shop = sound_shop(seed)
    assert not assess(shop.made_from).count("fault") and not shop.bare.runs
    made = draft(shop.bare)
    assert not assess(made).count("fault")
    assert price_of(made).total <= 1.1 * shop.price
