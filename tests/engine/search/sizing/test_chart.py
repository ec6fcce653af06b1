"""The chart of stocked bores: friction of a metre against a published formula, and its bands. Designs are invented."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest

from engine import load
from engine.air.properties import Air
from engine.checks.assess import assess
from engine.search.sizing.chart import Bore, chart
from tests import SAVED_DESIGNS
from tests.shops.small_shops import machine, q, run, shop

DEMOS = SAVED_DESIGNS


@pytest.mark.parametrize("inches", [4, 6, 8, 12])
@pytest.mark.parametrize("feet_a_minute", [3000, 4000])
def test_friction_of_galvanised_duct_is_near_wrights_formula(inches, feet_a_minute):
    """inH2O a 100 ft = 2.74 (V/1000)^1.9 / D^1.22, V in ft/min, D in inches, standard air: Wright 1945, read at second hand."""
    bore = Bore("duct", inches * 0.0254, 0.00015, True, 0, 0, 0)
    flow = feet_a_minute * 0.00508 * pi / 4 * bore.bore**2
    found = bore.pressure(flow, Air(1.2014, 1.8134e-5)) * 30.48 / 249.09
    assert found == pytest.approx(2.74 * (feet_a_minute / 1000) ** 1.9 / inches**1.22, rel=0.06)


def test_the_bands_are_flows_at_the_limits_of_the_speed():
    assessment = assess(load(DEMOS / "signal_box.toml"))
    shown = chart(assessment, "planer drop")
    for bore in shown.bores:
        assert bore.speed(bore.slow) == pytest.approx(20.0) and bore.speed(bore.fast) == pytest.approx(28.0)
        assert bore.settles < bore.slow < bore.fast
    assert [bore.ref for bore in shown.bores] == ["spiral/80", "spiral/100", "spiral/125", "spiral/140", "spiral/160"]
    assert [bore.in_store for bore in shown.bores] == [True, True, True, False, True]
    assert shown.present == "spiral/125" and [name for name, _ in shown.flows] == ["planer alone"]


def test_without_stock_there_is_nothing_to_compare():
    bare = run("main", "collector", None, 1.0, bore=q("160 mm", "bore"), material="galvanised spiral", ends="saw/hood")
    design = shop(bare, machines=[machine("saw")])
    assert chart(assess(replace(design, stock=())), "main") is None
