"""What a unit is worth and what it measures.

The units of the trade are the short list below, each with the spellings it is
known by, in SI.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache
from math import prod
from typing import NamedTuple

_BASES = ("m", "kg", "s", "K", "rad")


class Unit(NamedTuple):
    """SI value = number * scale + offset; `measures` are the powers of metre, kilogram, second, kelvin and radian."""

    scale: float
    offset: float
    measures: tuple[int, ...]


class _Listed(NamedTuple):
    """A unit of the list: worth `scale` of `si`, in lower case its spellings; "_" is a space that may be left out."""

    scale: float
    si: str
    spellings: str
    offset: float = 0.0


_INCH, _FOOT, _MINUTE = 0.0254, 0.3048, 60.0
_PA = "kg m-1 s-2"

# The inch, the pound, psi: NIST SP 811, appendix B.8, as the columns of water: 1 inH2O = 249.089 Pa and 1 mmH2O = 9.80665 Pa, the conventional ones.
UNITS = (
    _Listed(1.0, "m", "m metre metres meter meters"),
    _Listed(1000.0, "m", "km"),
    _Listed(0.01, "m", "cm"),
    _Listed(0.001, "m", "mm"),
    _Listed(1e-6, "m", "um micron microns"),
    _Listed(_INCH, "m", "in inch inches \" ''"),
    _Listed(_FOOT, "m", "ft foot feet '"),
    _Listed(1.0, "kg", "kg"),
    _Listed(0.001, "kg", "g"),
    _Listed(0.45359237, "kg", "lb lbs lbm"),
    _Listed(1.0, "s", "s sec"),
    _Listed(_MINUTE, "s", "min"),
    _Listed(3600.0, "s", "h hr hour"),
    _Listed(1.0, "K", "k kelvin"),
    _Listed(1.0, "K", "degc deg_c °c c celsius", 273.15),
    _Listed(5 / 9, "K", "degf deg_f °f f fahrenheit", 233.15 + 200 / 9),
    _Listed(1.0, "rad", "rad radian radians"),
    _Listed(0.017453292519943295, "rad", "deg ° degree degrees"),
    _Listed(1.0, "m2", "sqm sq_m"),
    _Listed(_INCH**2, "m2", "sqin sq_in"),
    _Listed(_FOOT**2, "m2", "sqft sq_ft"),
    _Listed(_FOOT**3, "m3", "cuft cu_ft"),
    _Listed(0.001, "m3", "l litre litres liter liters"),
    _Listed(_FOOT**3 / _MINUTE, "m3 s-1", "cfm"),
    _Listed(_FOOT / _MINUTE, "m s-1", "fpm"),
    _Listed(1.0, _PA, "pa"),
    _Listed(100.0, _PA, "hpa mbar"),
    _Listed(1000.0, _PA, "kpa"),
    _Listed(6894.757, _PA, "psi"),
    _Listed(249.089, _PA, 'in_h2o in_wg in_wc "_wg "_wc "_h2o'),
    _Listed(9.80665, _PA, "mm_h2o mm_wg mm_wc"),
)


@cache
def _spellings() -> dict[str, _Listed]:
    return {
        spelling.replace("_", space): listed for listed in UNITS for spelling in listed.spellings.split() for space in ("", " ")
    }  # fmt: skip


@lru_cache(maxsize=512)
def unit_of(text: str) -> Unit | None:
    """What a unit text such as "m3/h" is worth, or None where it is no unit."""
    powers: dict[_Listed, int] = {}
    for place, factor in enumerate(text.lower().replace(".", "").replace(" per ", "/").split("/")):
        listed, power = _spellings().get(factor.strip()), 1
        if listed is None and (match := re.fullmatch(r"([a-z]+)\^?([23])", factor.strip())):
            listed, power = _spellings().get(match[1]), int(match[2])
        if listed is None or listed in powers or place > 1:
            return None
        powers[listed] = -power if place else power
    offset = sum(listed.offset for listed in powers)
    if offset and list(powers.values()) != [1]:
        return None  # a scale with a zero of its own has no powers
    scale = prod(listed.scale**power for listed, power in powers.items())
    return Unit(scale, offset, tuple(sum(_power(listed.si, base) * power for listed, power in powers.items()) for base in _BASES))


def _power(si: str, base: str) -> int:
    """2 for "s" in "kg s-2"."""
    return sum(int(match[1] or "1") for factor in si.split() if (match := re.fullmatch(rf"{base}(-?\d*)", factor)))


def known(text: str) -> Unit:
    """`unit_of` for a text of this program's own."""
    unit = unit_of(text)
    assert unit is not None, text
    return unit
