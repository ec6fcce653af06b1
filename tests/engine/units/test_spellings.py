"""What units are worth and measure, against pint and its stock registry."""

from __future__ import annotations

from itertools import combinations

import pint
import pytest

from engine.units.spellings import UNITS, unit_of

# First spelling of each unit of the list -> pint's expression for it.
STOCK = {
    "m": "meter", "km": "kilometer", "cm": "centimeter", "mm": "millimeter", "um": "micrometer", "in": "inch", "ft": "foot",
    "kg": "kilogram", "g": "gram", "lb": "pound", "s": "second", "min": "minute", "h": "hour",
    "k": "kelvin", "degc": "degree_Celsius", "degf": "degree_Fahrenheit", "rad": "radian", "deg": "degree",
    "sqm": "meter ** 2", "sqin": "inch ** 2", "sqft": "foot ** 2", "cuft": "foot ** 3", "l": "liter",
    "cfm": "foot ** 3 / minute", "fpm": "foot / minute",
    "pa": "pascal", "hpa": "hectopascal", "kpa": "kilopascal", "psi": "pound_force_per_square_inch",
    "in_h2o": "249.089 pascal", "mm_h2o": "kilogram * standard_gravity / meter ** 2",
}  # fmt: skip
QUOTIENTS = {"m3/h": "meter ** 3 / hour", "L/s": "liter / second", "ft3/min": "foot ** 3 / minute", "lb/ft3": "pound / foot ** 3",
             "km/h": "kilometer / hour", "in2": "inch ** 2", "g per m3": "gram / meter ** 3"}  # fmt: skip

pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning:pint")


@pytest.fixture(scope="module")
def stock() -> pint.UnitRegistry:
    return pint.UnitRegistry()


def test_pint_knows_every_unit_of_the_list():
    assert [listed.spellings.split()[0] for listed in UNITS] == list(STOCK)


@pytest.mark.parametrize("spelling, expression", [*STOCK.items(), *QUOTIENTS.items()])
def test_a_unit_is_worth_what_pint_says(stock, spelling, expression):
    unit = unit_of(spelling.replace("_", ""))
    number, _, name = expression.partition(" ") if expression[0].isdigit() else ("1", "", expression)
    zero, one = (stock.Quantity(value, stock.parse_units(name) if number == "1" else "pascal").to_base_units() for value in (0.0, float(number)))
    assert unit.offset == pytest.approx(zero.magnitude, abs=1e-9)
    one_here = _base(stock, unit)
    assert one_here.dimensionality == one.dimensionality
    assert unit.scale == pytest.approx(one.magnitude - zero.magnitude, rel=1e-7)


def _base(stock: pint.UnitRegistry, unit) -> pint.Quantity:
    """One SI unit of what a unit measures."""
    bases = ("meter", "kilogram", "second", "kelvin", "radian")
    return stock.Quantity(1.0, stock.Unit(stock.UnitsContainer(dict(zip(bases, unit.measures, strict=True)))))


def test_no_spelling_stands_for_two_units():
    spellings = [{spelling.replace("_", space) for spelling in listed.spellings.split() for space in ("", " ")} for listed in UNITS]
    assert not [one & other for one, other in combinations(spellings, 2) if one & other]


@pytest.mark.parametrize("text", ["m/m", "m/metre", "degC2", "m3/degC", "degF/s", "m/s/s", "", "/", "m/", "xyz", "m4"])
def test_what_is_no_unit(text):
    assert unit_of(text) is None
