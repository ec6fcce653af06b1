"""Gauges over many networks at once show what each alone does."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from engine import load
from engine.air.along import Gauge
from engine.air.many.gauges import Gauges
from engine.air.many.solving import flows_of
from engine.air.one.asks import Ask
from engine.air.one.network import compile_tree, ports_for
from engine.design import Leakage, gate_sets_of
from tests import SAVED_DESIGNS

DESIGN = load(SAVED_DESIGNS / "signal_box.toml")


@pytest.fixture(scope="module")
def solved():
    tight, leaky = (compile_tree(replace(DESIGN, leakage=leakage)) for leakage in (Leakage(), Leakage(tightness="A")))
    weaker = replace(tight, fan=replace(tight.fan, scale=0.8 * tight.fan.scale))
    asks = [Ask(tree, ports_for(tree, each.open)) for tree in (tight, leaky, weaker) for each in gate_sets_of(DESIGN)]
    return asks, flows_of(asks)


def test_along_every_run_at_ports_and_at_the_inlet(solved):
    asks, flows = solved
    many, alone = Gauges(asks, flows), [Gauge(*each) for each in zip(asks, flows, strict=True)]
    assert many.inlet.suction == pytest.approx([one.inlet.suction for one in alone], rel=1e-6)
    assert many.through == pytest.approx([float(each[-1]) for each in flows])
    for run in (run.id for run in DESIGN.runs):
        for distance in (0.0, 0.7, 99.0):
            for found, wanted in zip(zip(*many.along(run, distance), strict=True), (one.along(run, distance) for one in alone), strict=True):
                assert found == pytest.approx((wanted.suction, wanted.flow, wanted.bore), rel=1e-6, abs=0.01)
    for port in asks[0].tree.leaf_of:
        assert many.port(port).suction == pytest.approx([one.port(port).suction for one in alone], rel=1e-6)
        assert many.port(port).speed == pytest.approx([one.port(port).speed for one in alone], rel=1e-6)


def test_a_network_without_balance_shows_nothing(solved):
    asks, flows = solved
    gauges = Gauges(asks[:9], [None, *flows[1:9]])
    assert np.isnan(gauges.inlet.suction[0]) and np.isfinite(gauges.inlet.suction[1:]).all() and np.isnan(gauges.through[0])
