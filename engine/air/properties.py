"""The air of the shop: density and viscosity."""

from __future__ import annotations

from math import exp

from engine.design import Site, defaults
from engine.values import dataclass

_DRY_GAS_CONSTANT = 287.05  # J/(kg K): 8.314463 / 0.0289652
_ZERO_CELSIUS = 273.15


@dataclass(frozen=True, slots=True)
class Air:
    """Air of one state: density [kg/m3] and dynamic viscosity [Pa s]."""

    density: float
    viscosity: float


def air_of(site: Site) -> Air:
    """The air of a site, of what it does not say the usual."""
    altitude, temperature = (site.altitude or defaults.ALTITUDE).si, (site.temperature or defaults.TEMPERATURE).si
    humidity = defaults.HUMIDITY if site.humidity is None else site.humidity
    return Air(density(pressure(altitude), temperature, humidity), viscosity(temperature))


def pressure(altitude: float) -> float:
    """Barometric pressure [Pa] at an altitude [m], -500 to 11000.

    US Standard Atmosphere 1976 by the formula of the ASHRAE psychrometrics
    chapter, from memory; within 0.01 % of the tabulated atmosphere.
    """
    standard: float = (1.0 - 2.25577e-5 * altitude) ** 5.2559
    return 101325.0 * standard


def saturation_pressure(temperature: float) -> float:
    """Pressure [Pa] of saturated water vapour over water at a temperature [K], 233 to 333.

    Magnus formula of the WMO guide to instruments (WMO-No. 8), from memory.
    """
    celsius = temperature - _ZERO_CELSIUS
    return 611.2 * exp(17.62 * celsius / (243.12 + celsius))


def density(pressure: float, temperature: float, humidity: float) -> float:
    """Density [kg/m3] of a mixture of ideal gases, dry air and vapour at a relative humidity of 0 to 1.

    Pressure [Pa], temperature [K, 233 to 333]. The vapour weighs 0.622 of the air it replaces (ASHRAE psychrometrics).
    """
    vapour = humidity * saturation_pressure(temperature)
    return (pressure - 0.378 * vapour) / (_DRY_GAS_CONSTANT * temperature)


def viscosity(temperature: float) -> float:
    """Dynamic viscosity [Pa s] at a temperature [K, more than 0]: Sutherland's formula, US Standard Atmosphere 1976.

    Of dry air; humidity takes less than 1 % off it at room temperature.
    """
    grown: float = temperature**1.5
    return 1.458e-6 * grown / (temperature + 110.4)
