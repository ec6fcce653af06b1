"""Air drawn in where none should be: through the walls of ducts and past shut gates; and through openings left on purpose."""

from __future__ import annotations

from math import sqrt

from engine.catalog.tables import read

# Flow through the gaps of a duct grows as pressure to this power: EN 12237.
LEAK_EXPONENT = 0.65
LOOSEST = "A"  # of the classes of EN 12237
_DISCHARGE_COEFFICIENT = 0.6  # of a sharp gap: common practice, no source


def wall_leak(tightness: str, area: float) -> float:
    """c of the leak c p^0.65 [m3/s, p in Pa] of duct wall [m2] of a tightness class, "A" to "D".

    EN 12237 states the largest leak a class allows: a duct may be tighter.
    Raises KeyError for another class.
    """
    constant: float = read("leakage")["k"][tightness]
    return 1e-3 * constant * area


def tested_suction(tightness: str) -> float:
    """Static suction [Pa] up to which EN 12237 tests ducts of a class, "A" to "D"; from memory. KeyError for another class."""
    most: float = read("leakage")["tested"][tightness]
    return most


def gap_resistance(gap: float, density: float) -> float:
    """Loss over flow squared [Pa s2/m6] of a shut gate that leaves a gap [m2, more than 0], in air of a density [kg/m3].

    That of a sharp-edged orifice, q = 0.6 A sqrt(2 p / density).
    """
    return density / (2.0 * (_DISCHARGE_COEFFICIENT * gap) ** 2)


def opening(flow: float, pressure: float, density: float) -> float:
    """Area [m2] of a sharp opening that lets a flow [m3/s] through under a pressure [Pa, more than 0], in air of a density [kg/m3].

    The same law as `gap_resistance`.
    """
    return flow / (_DISCHARGE_COEFFICIENT * sqrt(2.0 * pressure / density))
