"""What a gate set asks of a collector: against a published fan and duct, and against the solver with a collector that gives just that."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.air.gate_sets import working_ports
from engine.checks.assess import assess
from engine.design import CollectorLoss
from engine.files.design_file import load
from engine.search.collectors import duties, worst
from engine.search.collectors.least import stronger
from tests import SAVED_DESIGNS
from tests.shops.published_fan import FLOW, PRESSURE, fan_and_duct
from tests.shops.small_shops import collector, machine, run, shop, si

DEMOS = ("boat_shed", "signal_box")


def one_machine(**rest):
    return shop(run("only", "collector", 160, 12.0, ends="m/hood"), machines=[machine("m", 160, needs=0.3)], **rest)


def shares(design):
    """What the neediest machine gets of its need, in each gate set."""
    return [min(state.flow / state.needs for _, state in working_ports(result)) for result in assess(design).sets]


def test_the_duty_of_a_published_duct():
    """Cengel and Cimbala, Fluid Mechanics, example 14-1."""
    [duty] = duties(fan_and_duct())
    assert duty.flow == pytest.approx(FLOW, rel=1e-6)
    assert duty.pressure == pytest.approx(PRESSURE, rel=0.02)


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("margin", [0.0, 0.1])
def test_a_collector_that_gives_what_is_asked_gives_the_neediest_just_its_need(name, margin):
    design = load(SAVED_DESIGNS / f"{name}.toml")
    for i, duty in enumerate(duties(design, margin)):
        just = replace(design, collector=replace(stronger(design.collector, duty.lacks), filter="dirty"), gate_sets=(design.gate_sets[i],))
        assert shares(just) == pytest.approx([1.0 + margin], rel=1e-4), duty.gate_set


def test_the_hardest_duty_is_the_one_whose_set_wants_the_strongest_collector():
    design = load(SAVED_DESIGNS / "boat_shed.toml")
    hardest = worst(duties(design))
    assert hardest.gate_set == "shaping"
    just = replace(design, collector=replace(stronger(design.collector, hardest.lacks), filter="dirty"))
    assert min(shares(just)) == pytest.approx(1.0, rel=1e-4)


@pytest.mark.parametrize("basis", ["inlet suction", "fan static", "fan total"])
def test_what_is_asked_is_told_by_the_basis_of_the_curve(basis):
    """Inlet suction is the pressure at the inlet and the velocity pressure of the test duct, fan total that of the outlet."""
    [duty] = duties(one_machine(collector=collector(basis=basis, inlet=0.16, outlet=si(0.2))))
    dynamic = {"inlet suction": 0.16, "fan total": 0.2}.get(basis)
    more = duty.pressure and dynamic and 1.2 / 2 * (duty.flow / (3.14159265 / 4 * dynamic**2)) ** 2
    density = assess(one_machine()).air.density
    assert duty.clean * density / 1.2 == pytest.approx(duty.pressure + (more or 0.0) * density / 1.2, rel=1e-6)


def test_a_loaded_filter_adds_what_it_takes_at_that_flow():
    loss = CollectorLoss(name="filter", drop=si(200.0), clean=si(100.0), dirty=si(400.0), at=si(0.25), law="linear")
    design = one_machine(collector=collector(losses=(loss,)))
    [duty] = duties(design)
    assert (duty.loaded - duty.clean) * assess(design).air.density / 1.2 == pytest.approx(300.0 * duty.flow / 0.25, rel=1e-6)


def test_a_set_whose_machine_no_pressure_can_serve_says_so():
    stopped = shop(run("only", "collector", 100, 0.2, ends="m/hood"), machines=[machine("m", 20, needs=1.0, loss=1000.0)])
    [duty] = duties(stopped)
    assert duty.trouble == "no pressure gives every machine its need"
    assert worst((duty,)) is None
