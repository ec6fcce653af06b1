"""Text to SI and back: quantities with units as people type and read them."""

from engine.units.dimensions import DIMENSIONS, si_unit, unit_list, unit_name, wanted_text
from engine.units.quantity import DECIMAL, FEET_SIGN, INCH_SIGN, Quantity, UnitError, parse, parse_number, plain_spelling
from engine.units.shown import make, number_text, show, show_about, show_beside

__all__ = [
    "DECIMAL",
    "DIMENSIONS",
    "FEET_SIGN",
    "INCH_SIGN",
    "Quantity",
    "UnitError",
    "make",
    "number_text",
    "parse",
    "parse_number",
    "plain_spelling",
    "show",
    "show_about",
    "show_beside",
    "si_unit",
    "unit_list",
    "unit_name",
    "wanted_text",
]
