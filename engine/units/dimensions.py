"""What can be measured: each dimension with its name, its units, and how it is shown in either system."""

from __future__ import annotations

from functools import cache
from typing import Any, NamedTuple

from engine.units.spellings import known


class Shown(NamedTuple):
    """A unit to show in, with the decimals from 10 up, from 1 to 10 and below 1; `trim` drops closing zeros."""

    unit: str
    decimals: tuple[int, int, int]
    trim: bool = True


class Dimension(NamedTuple):
    """What a dimension is called, its SI unit, the units told of in messages, and how each system shows it."""

    name: str
    si: str
    listed: str
    metric: Shown
    imperial: Shown


TABLE = {
    "length": Dimension("a length", "m", "m, cm, mm, ft, in", Shown("m", (3, 3, 3)), Shown("ft", (2, 2, 2))),
    "bore": Dimension("a bore", "m", "mm, cm, m, in, ft", Shown("mm", (1, 1, 1)), Shown("in", (3, 3, 3))),
    "roughness": Dimension("a roughness", "m", "mm, um, m, in, ft", Shown("mm", (3, 3, 4)), Shown("in", (4, 5, 6))),
    "flow": Dimension("a flow", "m3/s", "m3/h, m3/min, m3/s, L/s, cfm", Shown("m3/h", (0, 1, 1)), Shown("cfm", (0, 1, 1))),
    "speed": Dimension("a speed", "m/s", "m/s, km/h, ft/min, fpm, ft/s", Shown("m/s", (1, 1, 1), False), Shown("ft/min", (0, 0, 0))),
    "pressure": Dimension("a pressure", "Pa", "Pa, kPa, mbar, mmH2O, inH2O", Shown("Pa", (0, 1, 1)), Shown("inH2O", (1, 1, 2), False)),
    "temperature": Dimension("a temperature", "K", "degC, degF, K", Shown("degC", (1, 1, 1)), Shown("degF", (1, 1, 1))),
    "angle": Dimension("an angle", "rad", "deg, rad", Shown("deg", (1, 1, 1)), Shown("deg", (1, 1, 1))),
    "area": Dimension("an area", "m2", "m2, cm2, ft2, in2", Shown("m2", (2, 2, 4)), Shown("ft2", (1, 2, 3))),
    "density": Dimension("a density", "kg/m3", "kg/m3, lb/ft3", Shown("kg/m3", (3, 3, 3)), Shown("lb/ft3", (4, 4, 4))),
}  # fmt: skip
DIMENSIONS = tuple(TABLE)


class Scale(NamedTuple):
    """How a value is shown, and what its unit is worth: SI = value × scale + offset."""

    shown: Shown
    scale: float
    offset: float


@cache
def scale_of(dimension: str, system: str) -> Scale:
    """The unit that `system` shows a dimension in, and what it is worth in SI."""
    shown: Shown = getattr(TABLE[dimension], system)
    unit = known(shown.unit)
    return Scale(shown, unit.scale, unit.offset)


def si_unit(dimension: str) -> str:
    """The unit that SI values of a dimension are in."""
    return TABLE[dimension].si


def unit_name(dimension: str, system: str) -> str:
    """The unit a plain number stands for, such as "m3/h"; feet for an imperial length."""
    return scale_of(dimension, system).shown.unit


def unit_list(dimension: str) -> str:
    """The units to name in a message, such as "m, cm, mm, ft, in"."""
    return TABLE[dimension].listed


def wanted_text(dimension: str) -> str:
    """What a message says is wanted of a text of this dimension, "" for a number without a unit."""
    return f"{TABLE[dimension].name} in one of {unit_list(dimension)}" if dimension else "a number"


@cache
def measures_of(dimension: str) -> Any:
    """What pint says the units of a dimension measure."""
    return known(TABLE[dimension].si).measures
