"""Lengths as a tape shows them: whole millimetres, or feet and inches to the sixteenth; and loads beside them."""

from __future__ import annotations

from engine.units import parse

_INCH = 0.0254
_POUND = 0.45359237  # kg, by definition (international yard and pound agreement of 1959)
LOAD_UNITS = {"metric": "kg", "imperial": "lb"}
STEP = {"metric": 0.001, "imperial": _INCH / 16}


def on_tape(metres: float, units: str) -> float:
    """A length rounded to what a tape shows, m; `units` are "metric" or "imperial"."""
    return round(metres / STEP[units]) * STEP[units]


def tape_text(metres: float, units: str) -> str:
    """A length as it is read off a tape: "1204 mm", "3ft 11 5/16in"."""
    steps = round(abs(metres) / STEP[units])
    sign = "-" if metres < 0 and steps else ""
    if units == "metric":
        return f"{sign}{steps} mm"
    feet, rest = divmod(steps, 192)
    whole, part = divmod(rest, 16)
    over = 16
    while part and part % 2 == 0:
        part, over = part // 2, over // 2
    inches = " ".join(filter(None, (str(whole) if whole else "", f"{part}/{over}" if part else "")))
    return sign + (" ".join(filter(None, (f"{feet}ft" if feet else "", f"{inches}in" if inches else ""))) or "0in")


def load_text(kilograms: float, units: str) -> str:
    """A load as it is told: "8.3 kg", "18.3 lb"."""
    return f"{kilograms if units == 'metric' else kilograms / _POUND:.1f} {LOAD_UNITS[units]}"


def units_of(texts: list[str]) -> str:
    """The units in which some lengths were typed: imperial where more of them are in feet and inches than are not."""
    imperial = sum(any(sign in text for sign in ("ft", "in", "'", '"', "foot", "feet", "′", "″")) for text in texts)
    return "imperial" if 2 * imperial > len(texts) else "metric"


def read_length(text: str) -> float:
    """A length that is typed, m, more than 0. Raises ValueError, one line that says what is wanted."""
    length = parse(text, "length").si
    if not 0.0 < length <= 100.0:
        raise ValueError(f"{text!r} is no length to cut; wanted more than 0, at most 100 m")
    return length
