"""The least collector that would do, with today's ducts and with others."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from engine.checks.assess import assess
from engine.files.design_file import load
from engine.search.collectors import Duty, binding, duties, least_at_todays_ducts, least_with_other_sizes
from engine.search.collectors.least import stronger
from engine.search.proposals import standing
from tests import SAVED_DESIGNS
from tests.shops.small_shops import machine, run, shop

points = st.lists(st.tuples(st.floats(0.05, 1.0), st.floats(100.0, 4000.0)), min_size=1, max_size=12)


@given(points, points)
def test_a_falling_curve_above_the_binding_duties_is_above_all(asked, bumps):
    found = [Duty(gate_set=str(i), flow=flow, loaded=pressure) for i, (flow, pressure) in enumerate(asked)]
    kept = binding(found)
    assert set(kept) <= set(found) and [one.flow for one in kept] == sorted(one.flow for one in kept)

    def curve(flow):
        return max((one.loaded for one in kept if one.flow >= flow), default=0.0)

    assert all(curve(one.flow) >= one.loaded for one in found)


def narrow():
    """A pipe a good deal too narrow for its machine, in a store that has wider."""
    drop, spare = run("main", "collector", 100, 9.0, ends="saw/hood"), run("spare", "main", 160, 0.2, as_="branch")
    design = shop(drop, spare, machines=[machine("saw", 140, needs=0.28)])
    return replace(design, runs=design.runs[:1])


def test_wider_pipe_asks_for_a_weaker_collector():
    design = narrow()
    today, *_, best = [least_at_todays_ducts(design), *least_with_other_sizes(design)]
    assert best.done and best.factor < 0.7 * today.factor
    assert best.design.runs[0].size == "pipe/160"
    made = replace(best.design, collector=replace(stronger(design.collector, best.factor), filter="dirty"))
    assert standing(assess(made)).share >= 1.0
    assert best.factor >= max(duty.lacks for duty in duties(best.design))


def test_what_is_found_with_other_sizes_serves_every_machine_and_lets_nothing_settle():
    design = load(SAVED_DESIGNS / "signal_box.toml")
    *_, best = least_with_other_sizes(design)
    made = assess(replace(best.design, collector=replace(stronger(design.collector, best.factor), filter="dirty")))
    found = standing(made)
    assert found.share >= 1.0 and found.rank.settling == 0
