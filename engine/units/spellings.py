"""What a unit is worth and what it measures, decided by pint.

Pint's stock registry is left aside (there `cfm` is a centifermi): the units of
the trade are the short list below, each with the spellings it is known by.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache, lru_cache
from typing import Any, NamedTuple

# Pint definition -> the spellings taken for it, in lower case; "_" is a space that may be left out.
# 1 inH2O = 249.089 Pa and 1 mmH2O = 9.80665 Pa are the conventional columns (NIST SP 811, appendix B.8).
UNITS = {
    "metre = [length]": "m metre metres meter meters",
    "kilometre = 1000 * metre": "km",
    "centimetre = 0.01 * metre": "cm",
    "millimetre = 0.001 * metre": "mm",
    "micrometre = 1e-6 * metre": "um micron microns",
    "inch = 0.0254 * metre": "in inch inches \" ''",
    "foot = 0.3048 * metre": "ft foot feet '",
    "kilogram = [mass]": "kg",
    "gram = 0.001 * kilogram": "g",
    "pound = 0.45359237 * kilogram": "lb lbs lbm",
    "second = [time]": "s sec",
    "minute = 60 * second": "min",
    "hour = 3600 * second": "h hr hour",
    "kelvin = [temperature]; offset: 0": "k kelvin",
    "celsius = kelvin; offset: 273.15": "degc deg_c °c c celsius",
    "fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9": "degf deg_f °f f fahrenheit",
    "radian = [angle]": "rad radian radians",
    "degree = 0.017453292519943295 * radian": "deg ° degree degrees",
    "square_metre = metre ** 2": "sqm sq_m",
    "square_inch = inch ** 2": "sqin sq_in",
    "square_foot = foot ** 2": "sqft sq_ft",
    "cubic_foot = foot ** 3": "cuft cu_ft",
    "litre = 0.001 * metre ** 3": "l litre litres liter liters",
    "cubic_foot_per_minute = foot ** 3 / minute": "cfm",
    "foot_per_minute = foot / minute": "fpm",
    "pascal = kilogram / metre / second ** 2": "pa",
    "hectopascal = 100 * pascal": "hpa mbar",
    "kilopascal = 1000 * pascal": "kpa",
    "pound_per_square_inch = 6894.757 * pascal": "psi",
    "inch_of_water = 249.089 * pascal": 'in_h2o in_wg in_wc "_wg "_wc "_h2o',
    "millimetre_of_water = 9.80665 * pascal": "mm_h2o mm_wg mm_wc",
}


class Unit(NamedTuple):
    """SI value = number * scale + offset; `measures` is pint's dimensionality, as (dimension, power) by name."""

    scale: float
    offset: float
    measures: tuple[tuple[str, float], ...]


# What pint has said, by its names of units and their powers: ("metre", 3), ("hour", -1).
Powers = tuple[tuple[str, int], ...]
_said: dict[Powers, Unit] = {}
_remembered: set[Powers] = set()


def said() -> Mapping[Powers, Unit]:
    """All that pint has said until now."""
    return _said


def is_news() -> bool:
    """Whether it has said more than is remembered."""
    return not _remembered.issuperset(_said)


def remember(known: Mapping[Powers, Unit]) -> None:
    """Take over what pint said in an earlier run, or note what the next run will know."""
    _said.update(known)
    _remembered.update(known)


@cache
def _registry() -> Any:
    import pint  # the slowest import of the engine: wait until a quantity is read or shown

    registry: Any = pint.UnitRegistry(None)
    for definition in UNITS:
        registry.define(definition)
    return registry


@cache
def _spellings() -> dict[str, str]:
    """Spelling -> pint's name."""
    found = {}
    for definition, spellings in UNITS.items():
        for spelling in spellings.split():
            found[spelling.replace("_", "")] = found[spelling.replace("_", " ")] = definition.partition(" ")[0]
    return found


@lru_cache(maxsize=512)
def unit_of(text: str) -> Unit | None:
    """What a unit text such as "m3/h" is worth, or None where it is no unit."""
    powers: dict[str, int] = {}
    for place, factor in enumerate(text.lower().replace(".", "").replace(" per ", "/").split("/")):
        name, power = _spellings().get(factor.strip()), 1
        if name is None and (match := re.fullmatch(r"([a-z]+)\^?([23])", factor.strip())):
            name, power = _spellings().get(match[1]), int(match[2])
        if name is None or name in powers or place > 1:
            return None
        powers[name] = -power if place else power
    if powers.keys() & {"celsius", "fahrenheit"} and list(powers.values()) != [1]:
        return None  # a scale with a zero of its own has no powers
    named = tuple(powers.items())
    if named not in _said:
        _said[named] = _asked_for(powers)
    return _said[named]


def _asked_for(powers: dict[str, int]) -> Unit:
    registry = _registry()
    unit = registry.Unit(registry.UnitsContainer(powers))
    zero, one = (float(registry.Quantity(number, unit).to_root_units().magnitude) for number in (0.0, 1.0))
    return Unit(one - zero, zero, tuple(sorted((dimension, float(power)) for dimension, power in unit.dimensionality.items())))


def known(text: str) -> Unit:
    """`unit_of` for a text of this program's own."""
    unit = unit_of(text)
    assert unit is not None, text
    return unit
