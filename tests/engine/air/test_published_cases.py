"""Worked examples from textbooks and courses, each recomputed with the engine's own functions."""

from __future__ import annotations

from math import pi, sqrt

import pytest

from engine.air import properties
from engine.air.losses.friction import colebrook
from engine.air.one.balance import velocity_pressure
from engine.air.one.ducts import area
from engine.checks.assess import assess
from engine.design import Design, Machine, OwnLoss, Port, Run, Site, Stock, StockSize, Straight
from engine.units import parse
from tests.engine.air.losses.wye import branch_coefficient
from tests.shops.small_shops import collector

INCH_OF_WATER = 249.089
STANDARD_DENSITY = 1.2014  # US standard air, 0.075 lb/ft3
VISCOSITY = 1.8134e-5


def si(text: str, dimension: str) -> float:
    return parse(text, dimension).si


def pressure_at(speed: float, density: float = STANDARD_DENSITY) -> float:
    """Velocity pressure, Pa, of air at a speed, m/s."""
    return velocity_pressure(speed * area(0.1), 0.1, density)


def test_velocity_pressure_of_4005_ft_per_min():
    """V = 4005 sqrt(VP): one inch of water in US standard air of 0.075 lb/ft3. To 0.1 %."""
    assert pressure_at(4005 * 0.00508) == pytest.approx(248.84, rel=1e-3)


def test_velocity_pressure_sheet_of_one_branch():
    """Ventilation course (read in the source): 1500 cfm in 8 in, flanged entry of 0.49, 35 ft galvanised, one elbow of 0.13.

    V 4297 ft/min, VP 1.151 and SP 3.081 inH2O, to 0.5 %; the sheet prints 3.087 after a slip in its friction line.
    """
    flow, bore, length = si("1500 cfm", "flow"), si("8 in", "bore"), si("35 ft", "length")
    speed = flow / (pi * bore**2 / 4)
    assert speed == pytest.approx(si("4297 fpm", "speed"), rel=0.005)
    pressure = velocity_pressure(flow, bore, STANDARD_DENSITY)
    assert pressure / INCH_OF_WATER == pytest.approx(1.151, rel=0.005)
    per_foot = 0.0307 * 4297**0.533 / 1500**0.612  # Loeffler's galvanised duct, as the sheet has it
    assert per_foot == pytest.approx(0.03019, rel=0.005)
    sheet = (1 + 0.49 + 0.13 + 35 * per_foot) * pressure
    assert sheet / INCH_OF_WATER == pytest.approx(3.081, rel=0.005)
    # By Colebrook at 0.0005 ft, the roughness that stands behind the sheet's formula: to 2 %.
    factor, _ = colebrook(STANDARD_DENSITY * speed * bore / VISCOSITY, si("0.0005 ft", "roughness") / bore)
    ours = (1 + 0.49 + 0.13 + factor * length / bore) * pressure
    assert ours / INCH_OF_WATER == pytest.approx(3.081, rel=0.02)


def test_the_sheets_branch_as_a_design():
    """The same branch at a collector that supplies its flow at any pressure: 4297 ft/min to 0.5 %, 3.081 inH2O of static suction to 2 %."""
    bore, flow = parse("8 in", "bore"), parse("1500 cfm", "flow")
    sizes = (StockSize(nominal="8 in", bore=bore),)
    pipe = Stock(id="pipe", kind="pipe", material="galvanised spiral", roughness=parse("0.0005 ft", "roughness"), sizes=sizes)
    hood = Machine(id="hood", ports=(Port(id="hood", bore=bore, needs=flow, loss=0.49),))
    pieces = (Straight(length=parse("35 ft", "length")), OwnLoss(loss=0.13, name="elbow"))
    branch = Run(id="branch", joins="collector", size="pipe/8 in", pieces=pieces, ends="hood/hood")
    fan = collector(((0.9999 * flow.si, 50_000.0), (1.0001 * flow.si, 0.0)), inlet=bore.si)
    design = Design(name="sheet", site=Site(humidity=0.25), collector=fan, stock=(pipe,), machines=(hood,), runs=(branch,))
    made = assess(design)
    assert made.air.density == pytest.approx(STANDARD_DENSITY, rel=1e-3)
    state = made.sets[0].balance.runs["branch"]
    assert state.velocity == pytest.approx(si("4297 fpm", "speed"), rel=0.005)
    assert state.suction_near / INCH_OF_WATER == pytest.approx(3.081, rel=0.02)


def test_cengel_example_8_4():
    """Cengel & Cimbala, Fluid Mechanics: smooth duct of 150 m, 0.35 m3/s of air at 35 degC, head loss 20 m: D 0.267 m to 0.2 %."""
    density, kinematic, flow, length = 1.145, 1.655e-5, 0.35, 150.0
    allowed = 20.0 * density * 9.81

    def drop(bore: float) -> float:
        speed = flow / (pi * bore**2 / 4)
        return colebrook(speed * bore / kinematic, 0.0)[0] * length / bore * velocity_pressure(flow, bore, density)

    low, high = 0.1, 1.0
    while high - low > 1e-6:
        middle = (low + high) / 2
        low, high = (middle, high) if drop(middle) > allowed else (low, middle)
    assert low == pytest.approx(0.267, rel=0.002)


def test_crane_example_7_35():
    """Crane TP-410: 90 deg tee, all legs 0.1023 m, run 300 and branch 100 gpm: K of the branch -0.040 to 0.003."""
    assert branch_coefficient(100 / 400, 1.0, pi / 2) == pytest.approx(-0.040, abs=0.003)


def test_ventilation_course_speed_from_velocity_pressure():
    """VP 0.20 inH2O is 1791 ft/min: to 0.2 %."""
    assert pressure_at(si("1791 fpm", "speed")) == pytest.approx(si("0.20 inH2O", "pressure"), rel=0.004)
    assert sqrt(2 * 0.20 * INCH_OF_WATER / STANDARD_DENSITY) == pytest.approx(si("1791 fpm", "speed"), rel=0.002)


def test_epa_course_speed_in_a_rectangular_duct():
    """50 000 acfm in 4.0 x 3.5 ft: 3571 ft/min, to 0.1 %."""
    assert si("50000 cfm", "flow") / (si("4 ft", "length") * si("3.5 ft", "length")) == pytest.approx(si("3571 fpm", "speed"), rel=1e-3)


def test_epa_course_speed_of_hot_air():
    """35 000 scfm in 5 x 3.5 ft at 250 degF, 10 inH2O below a barometer of 397: 2828 ft/min, to 0.1 %.

    Standard is 68 degF and 407 inH2O; mass is kept.
    """
    standard = properties.density(si("407 inH2O", "pressure"), si("68 degF", "temperature"), 0.0)
    hot = properties.density(si("387 inH2O", "pressure"), si("250 degF", "temperature"), 0.0)
    speed = si("35000 cfm", "flow") * standard / hot / (si("5 ft", "length") * si("3.5 ft", "length"))
    assert speed == pytest.approx(si("2828 fpm", "speed"), rel=1e-3)


def test_filter_sizing():
    """NPTEL course: 5 m3/s through cloth at 2 m/min wants 150 m2, exactly."""
    assert si("5 m3/s", "flow") / si("2 m/min", "speed") == pytest.approx(150, rel=1e-12)
