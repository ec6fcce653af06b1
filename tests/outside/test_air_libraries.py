"""The air of the shop against PsychroLib (ASHRAE, ideal gases) and CoolProp (real moist air)."""

from __future__ import annotations

import psychrolib
import pytest

from engine.air import properties
from engine.air.properties import Air, air_of
from engine.design import Site
from tests.shops.small_shops import si

psychrolib.SetUnitSystem(psychrolib.SI)

WHERE = pytest.mark.parametrize("altitude", [0.0, 500.0, 1500.0, 3000.0])
HUMIDITY = pytest.mark.parametrize("humidity", [0.0, 0.3, 0.7, 1.0])


def at(altitude: float, celsius: float, humidity: float) -> Air:
    return air_of(Site(altitude=si(altitude), temperature=si(celsius + 273.15), humidity=humidity))


def by_psychrolib(altitude: float, celsius: float, humidity: float) -> float:
    """Density of moist air, kg/m3: ASHRAE Handbook Fundamentals, chapter 1."""
    pressure = psychrolib.GetStandardAtmPressure(altitude)
    return psychrolib.GetMoistAirDensity(celsius, psychrolib.GetHumRatioFromRelHum(celsius, humidity, pressure), pressure)


@WHERE
@HUMIDITY
@pytest.mark.parametrize("celsius", [1.0, 10.0, 20.0, 30.0, 40.0])
def test_density_is_that_of_ashrae(altitude, celsius, humidity):
    """To 1e-4: gas constants differ by 3e-5, saturation pressures by less than 0.1 %."""
    assert at(altitude, celsius, humidity).density == pytest.approx(by_psychrolib(altitude, celsius, humidity), rel=1e-4)


@HUMIDITY
@pytest.mark.parametrize("celsius, tolerance", [(-30.0, 2e-4), (-10.0, 2e-4), (60.0, 3e-4)])
def test_density_at_the_edges(celsius, tolerance, humidity):
    """Below freezing ASHRAE takes the vapour over ice, we over water: less than 2e-4 of the density; at 60 degC Magnus strays."""
    assert at(0.0, celsius, humidity).density == pytest.approx(by_psychrolib(0.0, celsius, humidity), rel=tolerance)


@pytest.mark.parametrize("altitude", [-400.0, 0.0, 800.0, 2500.0, 5000.0])
def test_barometric_pressure_is_that_of_ashrae(altitude):
    assert properties.pressure(altitude) == pytest.approx(psychrolib.GetStandardAtmPressure(altitude), rel=1e-6)


@HUMIDITY
@pytest.mark.parametrize("altitude", [0.0, 1500.0])
@pytest.mark.parametrize("celsius, viscosity", [(5.0, 0.01), (20.0, 0.01), (35.0, 0.02)])
def test_real_moist_air(altitude, celsius, viscosity, humidity):
    """Real air is denser than the ideal mixture by 0.02 to 0.06 %; vapour takes up to 1 % off its viscosity, in hot air 2 %."""
    from CoolProp.CoolProp import HAPropsSI  # takes long to load

    ours = at(altitude, celsius, humidity)
    state = ("T", celsius + 273.15, "P", properties.pressure(altitude), "R", humidity)
    moist = (1 + HAPropsSI("W", *state)) / HAPropsSI("Vda", *state)
    assert ours.density == pytest.approx(moist, rel=8e-4)
    assert ours.viscosity == pytest.approx(HAPropsSI("mu", *state), rel=viscosity)
