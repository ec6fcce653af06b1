"""Air against the US Standard Atmosphere 1976 and ASHRAE psychrometrics."""

from __future__ import annotations

import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.air import properties
from engine.design import Site
from engine.units import parse


def site(altitude: str = "0 m", temperature: str = "20 degC", humidity: float = 0.5) -> Site:
    return Site(altitude=parse(altitude, "length"), temperature=parse(temperature, "temperature"), humidity=humidity)


@pytest.mark.parametrize("humidity, expected", [(0.0, 1.20415), (0.5, 1.19890), (1.0, 1.19364)])
def test_moist_air_at_20_degc(humidity, expected):
    """ASHRAE psychrometrics, computed with PsychroLib 2.5: to 0.01 %."""
    assert properties.air_of(site(humidity=humidity)).density == pytest.approx(expected, rel=1e-4)


def test_dry_air_at_20_degc():
    """p/(R T): 1.2041 kg/m3."""
    assert properties.density(101325.0, 293.15, 0.0) == pytest.approx(1.2041, rel=1e-4)


@pytest.mark.parametrize("altitude, expected", [(0, 101_325), (500, 95_461), (1000, 89_876), (1500, 84_560), (2000, 79_501)])
def test_pressure_aloft(altitude, expected):
    """US Standard Atmosphere 1976: to 0.01 %."""
    assert properties.pressure(altitude) == pytest.approx(expected, rel=1e-4)
    assert properties.pressure(altitude) == pytest.approx(fluids.ATMOSPHERE_1976(altitude).P, rel=2e-4)


def test_density_aloft_is_at_the_shops_own_temperature():
    """Not the colder air of the standard atmosphere: 20 degC at 1500 m has 84560/101325 of the density at sea level."""
    aloft = properties.air_of(site("1500 m", humidity=0.0)).density
    assert aloft == pytest.approx(1.2041 * 84_560 / 101_325, rel=2e-4)
    assert aloft < fluids.ATMOSPHERE_1976(1500.0).rho


@pytest.mark.parametrize("celsius, expected", [(0, 1.7161e-5), (15, 1.7894e-5), (20, 1.8134e-5), (40, 1.9076e-5)])
def test_viscosity(celsius, expected):
    """US Standard Atmosphere 1976, Sutherland's formula: all four printed digits."""
    assert properties.viscosity(273.15 + celsius) == pytest.approx(expected, rel=5e-5)
    assert properties.viscosity(273.15 + celsius) == pytest.approx(fluids.ATMOSPHERE_1976.viscosity(273.15 + celsius), rel=1e-4)


@pytest.mark.parametrize("celsius, expected", [(-20, 125.4), (0, 611.2), (20, 2339.0), (40, 7384.0), (60, 19_946.0)])
def test_saturation_pressure(celsius, expected):
    """Steam tables from memory; at -20 degC over supercooled water. To 0.5 %."""
    assert properties.saturation_pressure(273.15 + celsius) == pytest.approx(expected, rel=5e-3)


def test_a_silent_site_is_sea_level_20_degc_half_moist():
    assert properties.air_of(Site()) == properties.air_of(site())


def test_dry_air_of_no_humidity_is_not_taken_for_a_silent_site():
    assert properties.air_of(Site(humidity=0.0)).density > properties.air_of(Site()).density


@given(st.floats(-430, 5000), st.floats(233.15, 333.15), st.floats(0.0, 1.0))
def test_every_site_has_plausible_air(altitude, temperature, humidity):
    pressure = properties.pressure(altitude)
    moist, dry = properties.density(pressure, temperature, humidity), properties.density(pressure, temperature, 0.0)
    assert 0.4 < moist <= dry < 1.7
