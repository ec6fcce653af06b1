"""Values as text: in the units of a system, with the digits that are plausible in a workshop."""

from __future__ import annotations

from functools import lru_cache
from math import ceil, floor, isfinite, log10

from engine.units.dimensions import scale_of, unit_name
from engine.units.quantity import Quantity, parse
from engine.units.spellings import known

_ALIKE = 1e-6  # relative: two values that no tape or gauge tells apart


def show(si: float, dimension: str, system: str, *, digits: int | None = None) -> str:
    """A value as text that `parse` reads back, in the units of `system` ("metric" or "imperial").

    Digits are those that are plausible in a workshop; `digits` asks for that
    many decimals instead. Imperial lengths are feet and inches to 1/8 in,
    unless `digits` asks for decimal feet.
    """
    if dimension == "length" and system == "imperial" and digits is None and isfinite(si):
        return _feet_text(si)
    return f"{number_text(si, dimension, system, digits=digits)} {unit_name(dimension, system)}"


def number_text(si: float, dimension: str, system: str, *, digits: int | None = None) -> str:
    """The number `show` gives, without its unit `unit_name`; an imperial length in decimal feet."""
    shown, scale, offset = scale_of(dimension, system)
    value = (si - offset) / scale
    if digits is not None:
        return f"{value:z.{digits}f}"
    size = abs(value)
    text = f"{value:z.{shown.decimals[0 if size >= 10 else 1 if size >= 1 else 2]}f}"
    return _trimmed(text) if shown.trim else text


@lru_cache(maxsize=256)
def show_about(si: float, dimension: str, system: str, *, least: bool = False) -> str:
    """A limit as it is told: "28.0 m/s" as metric shows it; in imperial units, in which nobody chose it, "about 5510 ft/min".

    Two digits, three of a speed that stands beside others, down or for the `least` allowed up, so that a value told so is one
    that will do; what is shorter than a foot as a tape shows it.
    """
    shown, scale, offset = scale_of(dimension, system)
    value = (si - offset) / scale
    if system == "metric" or dimension == "angle" or (dimension == "length" and abs(value) < 1.0) or not value or not isfinite(value):
        return show(si, dimension, system)
    last = 10.0 ** (floor(log10(abs(value)) + 1e-9) - (2 if dimension == "speed" else 1))
    rounded = (ceil(value / last - 1e-6) if least else floor(value / last + 1e-6)) * last
    about = "" if abs(rounded - value) <= 1e-6 * abs(value) else "about "
    return f"{about}{rounded:.12g} {shown.unit}"


def show_beside(si: float, limit: float, dimension: str, system: str) -> tuple[str, str]:
    """A value and the limit it is past, told so that the one reads as above or below the other as it is.

    The limit comes as `show_about` tells it; where that would read like the
    value, or on its wrong side, with the digits that part them.
    """
    above = si > limit
    value, read = _value_read(si, dimension, system)
    told = show_about(limit, dimension, system, least=not above)
    if _parted(read, told, dimension, above):
        return value, told
    told = show(limit, dimension, system)
    if _parted(read, told, dimension, above):
        return value, told
    for digits in range(1, 6):
        value, told = (show(number, dimension, system, digits=digits) for number in (si, limit))
        if _parted(_read_back(value, dimension, system), told, dimension, above):
            break
    return value, told


def _parted(value: float, limit: str, dimension: str, above: bool) -> bool:
    """Whether a value, as it reads, is on the right side of a limit as it is told."""
    other = _limit_read(limit, dimension)
    return abs(value - other) > _ALIKE * abs(other) and (value > other) == above


@lru_cache(maxsize=256)
def _value_read(si: float, dimension: str, system: str) -> tuple[str, float]:
    """A value as `show` tells it, and what that reads as, SI: it may stand beside several limits."""
    value = show(si, dimension, system)
    return value, _read_back(value, dimension, system)


def _read_back(shown: str, dimension: str, system: str) -> float:
    """What `show` made, SI: a plain number before the unit is read at once, and feet with inches as they are typed."""
    number, _, unit = shown.partition(" ")
    made_in = scale_of(dimension, system)
    return float(number) * made_in.scale + made_in.offset if unit == made_in.shown.unit else parse(shown, dimension).si


@lru_cache(maxsize=256)
def _limit_read(limit: str, dimension: str) -> float:
    """A limit as it was told, SI. Kept: a design has few limits and asks after them at every run of every gate set."""
    return parse(limit.removeprefix("about "), dimension).si


def make(si: float, dimension: str, system: str) -> Quantity:
    """A Quantity near `si`: its text is as short as `show`'s digits allow, and it is what that text says."""
    if dimension == "length" and system == "imperial":
        return parse(show(si, dimension, system), dimension)
    return parse(f"{_trimmed(number_text(si, dimension, system))} {unit_name(dimension, system)}", dimension)


def _trimmed(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text


def _feet_text(si: float) -> str:
    inches = si / known("in").scale
    eighths = round(inches * 8)
    return _on_tape(eighths) if eighths else _trimmed(f"{inches:z.2f}") + "in"


@lru_cache(maxsize=1024)
def _on_tape(eighths: int) -> str:
    """Eighths of an inch in feet and inches."""
    feet, rest = divmod(abs(eighths), 96)
    whole, part = divmod(rest, 8)
    fraction = {0: "", 2: "1/4", 4: "1/2", 6: "3/4"}.get(part, f"{part}/8")
    inch_text = " ".join(filter(None, (str(whole) if whole else "", fraction)))
    parts = (f"{feet}ft" if feet else "", f"{inch_text}in" if inch_text else "")
    return ("-" if eighths < 0 else "") + " ".join(filter(None, parts))
