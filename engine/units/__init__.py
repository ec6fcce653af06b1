"""Text to SI and back: quantities with units as people type and read them."""

from engine.units.quantity import (
    DECIMAL,
    DIMENSIONS,
    FEET_SIGN,
    INCH_SIGN,
    Quantity,
    UnitError,
    make,
    number_text,
    parse,
    parse_number,
    plain_spelling,
    show,
    show_about,
    unit_list,
    unit_name,
    wanted_text,
)

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
    "unit_list",
    "unit_name",
    "wanted_text",
]
