"""A collector to choose from in a line: "big drum: 0 2800; 1200 2300; 2400 700; inlet 180; price 890"."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace
from typing import Any

from engine.design import CollectorChoice, CurvePoint, Design, system
from engine.design.entries import entries
from engine.design.limits import unfit_text
from engine.design.typed import BadValue, read_figure
from tui.work.fields.points import read_points, text_of_points

# What a line may say besides points, each with its figure behind it.
_NAMED = ("inlet", "test_duct", "density", "free_air", "max_suction", "filter_area", "price")
_EXAMPLES = {"metric": "big drum: 0 2800; 1200 2300; 2400 700; inlet 180; price 890", "imperial": "big drum: 0 11; 700 9; 1400 3; inlet 7; price 890"}


def example_of_choice(units: str) -> str:
    """A line as it may be typed."""
    return _EXAMPLES[units]


def read_choice(text: str, units: str) -> CollectorChoice:
    """A collector to choose from: its name, a colon, then points of its curve or free air and max suction, and what else its sheet tells.

    Raises BadValue, also where it tells too little for any flow.
    """
    table = entries(CollectorChoice)
    name, colon, rest = text.partition(":")
    if not colon or not name.strip():
        raise BadValue(f"wanted its name, a colon and its figures, as {_EXAMPLES[units]}")
    if wrong := unfit_text(table["id"], name.strip()):
        raise BadValue(f"{wrong[0]}: wanted {wrong[1]}")
    found: dict[str, Any] = {}
    points: list[str] = []
    for part in filter(None, (one.strip() for one in rest.split(";"))):
        key = next((key for key in _NAMED if part.lower().startswith(_label(key))), None)
        if part.lower() in table["basis"].choices:
            found["basis"] = part.lower()
        elif key:
            found[key] = read_figure(table[key], part[len(key) :].strip(), units)
        else:
            points.append(part)
    curve: tuple[CurvePoint, ...] = read_points("; ".join(points), units) if points else ()
    if len(curve) == 1 or (not curve and not {"free_air", "max_suction"} <= found.keys()):
        raise BadValue("wanted two points of its curve at least, or free air and max suction")
    return CollectorChoice(id=name.strip(), curve=curve, **found)


def with_choice(design: Design, index: int, text: str) -> Design:
    """The design with a collector to choose from at an index as a line says; one after the last is added. Raises BadValue."""
    known, made = design.collector_choices, read_choice(text, system(design))
    if any(one.id == made.id for at, one in enumerate(known) if at != index):
        raise BadValue(f"there is a {made.id} already")
    return replace(design, collector_choices=(*known[:index], made, *known[index + 1 :]))


def choice_text(choice: CollectorChoice) -> str:
    """A collector to choose from as `read_choice` takes it; losses are no part of it."""
    return f"{choice.id}: {'; '.join(_parts(choice))}"


def _parts(choice: CollectorChoice) -> Iterator[str]:
    if choice.curve:
        yield text_of_points(choice.curve)
    yield from filter(None, (choice.basis,))
    for known in fields(choice):
        value = getattr(choice, known.name)
        if known.name in _NAMED and value is not None:
            yield f"{_label(known.name)} {value:g}" if isinstance(value, float) else f"{_label(known.name)} {value.text}"


def _label(key: str) -> str:
    return key.replace("_", " ")
