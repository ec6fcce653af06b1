"""Values of form fields: reading what was typed, cycling, stepping, and what an edit brings with it."""

from __future__ import annotations

from typing import Any

from engine import edits
from engine.design import Collector, Design, Port, Run, Zone, children_of, joins_as, stock_sizes, system
from engine.design.names import LONGEST_NAME
from engine.design.places import Place, RunAt
from engine.files.design_reader import LONGEST_NOTES
from engine.units import Quantity, make, parse, show, unit_name
from tui.work.fields import Field
from tui.work.points import read_points
from tui.work.reading import BadValue, read_figure

__all__ = ["BadValue", "changed", "cycled", "echo", "read", "text_of", "waits"]

_TRUE, _FALSE = ("yes", "true"), ("no", "false")


def read(field: Field, text: str, units: str) -> Any:
    """The value typed into a field: None for nothing typed where that is allowed.

    A number without a unit takes the one `units` ("metric" or "imperial")
    shows. Choices and names may be shortened as long as they are clear.
    Raises BadValue.
    """
    text, entry = text.strip(), field.entry
    if not text:
        if entry.required:
            raise BadValue(f"wanted: {entry.meaning}")
        return None
    match entry.kind:
        case "quantity" | "number" | "count":
            return read_figure(entry, text, units)
        case "list":
            return read_points(text, units)
        case "flag":
            return _one_of(text.lower(), (*_TRUE, *_FALSE)) in _TRUE
        case "choice" | "reference":
            return _one_of(text, field.choices)
    longest = LONGEST_NOTES if field.name == "notes" else LONGEST_NAME
    if len(text) > longest:
        raise BadValue(f"{len(text)} characters: wanted at most {longest}")
    return text


def _one_of(text: str, choices: tuple[str, ...]) -> str:
    if text in choices:
        return text
    found = [choice for choice in choices if choice.casefold().startswith(text.casefold())]
    found = found or [choice for choice in choices if text.casefold() in choice.casefold()]
    if len(found) == 1:
        return found[0]
    if not found:
        raise BadValue(f"wanted one of: {', '.join(choices)}" if choices else "there is nothing it could name yet")
    raise BadValue(f"which? {', '.join(found)}")


def cycled(field: Field, by: int) -> str | None:
    """The choice `by` places on from the present one, "" for none where that is allowed; None when there is no other."""
    ring = field.choices if field.entry.required or not field.choices else ("", *field.choices)
    if not ring or ring == (field.text,):
        return None
    at = ring.index(field.text) if field.text in ring else 0
    return ring[(at + by) % len(ring)]


def echo(field: Field, value: Any, text: str, units: str) -> str:
    """What was typed, as the session understands it: in the units shown, or in the other ones when it was typed in those."""
    if field.entry.kind == "quantity" and value is not None:
        other = "imperial" if units == "metric" else "metric"
        shown = [show(value.si, field.entry.dimension, known) for known in (units, other)]
        if text.replace("^", "").endswith(f" {unit_name(field.entry.dimension, units)}"):
            return "" if shown[0] == shown[1] else shown[1]
        return next((known for known in shown if known != text), "")
    named = text_of(value)
    return named if field.choices and named != text else ""


def text_of(value: Any) -> str:
    """A value that was read, as text."""
    return "" if value is None else "yes" if value is True else "no" if value is False else str(value)


def changed(design: Design, field: Field, value: Any) -> tuple[Design, Place]:
    """The design with `value` in `field` and what must change along with it, and where the field's thing then stands.

    A stock size and a bore of its own exclude each other, so do a port's loss
    and suction, a curve and a free-air flow; only one run goes straight on at
    a joint, and legs come in twos. The design may still be inconsistent.
    Raises EditError where a run cannot join what is named.
    """
    item = edits.at(design, field.place)
    if field.entry.kind == "list":
        value = value or ()
    if isinstance(item, Run) and field.name == "joins":
        return edits.reattach(design, field.place, value)
    if field.entry.kind == "names":
        value = _members(item, field, value)
    values = {**_along(design, item, field.name, value), field.name: value}
    design = edits.set_fields(design, field.place, values)
    if isinstance(field.place, RunAt) and field.name == "as_":
        design = _settled(design, field.place.run)
    return design, field.place


def waits(field: Field) -> bool:
    """Whether a value is put in only when it is complete, since it rebuilds the ducts."""
    return field.name == "joins"


def _members(item: Any, field: Field, wanted: bool) -> tuple[str, ...]:
    held = tuple(name for name in getattr(item, field.name) if name != field.member)
    return (*held, field.member) if wanted else held


def _along(design: Design, item: Any, name: str, value: Any) -> dict[str, Any]:
    """The fields that cannot stay as they are beside a value of this one, with what they become."""
    match item, name:
        case Zone(), "west" | "east" | "south" | "north" if value is not None:
            return _other_side(design, item, name, value)
        case Run(), "as_" if value in (None, "straight"):
            return {"angle": None, "toward": None}
        case Run(), "ends" if value is None:
            return {"port_taper": None}
        case Run(), "size" if value is not None:
            return {"bore": None, "material": None}
        case Run(), "bore" if value is not None and item.size:
            return {"size": None, "material": stock_sizes(design)[item.size][0].material}
        case Port(), "loss" if value is not None:
            return {"suction": None}
        case Port(), "suction" if value is not None:
            return {"loss": None}
        case Collector(), "curve" if value:
            return {"free_air": None, "max_suction": None}
        case Collector(), "free_air" | "max_suction" if item.curve and value is not None:
            last, first = item.curve[-1], item.curve[0]
            return {"curve": (), "free_air": last.flow, "max_suction": first.pressure}
    return {}


_OPPOSITE = {"west": ("east", 1), "east": ("west", -1), "south": ("north", 1), "north": ("south", -1)}


def _other_side(design: Design, zone: Zone, name: str, value: Quantity) -> dict[str, Any]:
    """The side opposite to one moved past it, as far off as it was."""
    other, way = _OPPOSITE[name]
    there = getattr(zone, other)
    if way * (there.si - value.si) > 0:
        return {}
    wide = abs(there.si - getattr(zone, name).si)
    return {other: parse(make(value.si + way * wide, "length", system(design)).text, "length")}


def _settled(design: Design, index: int) -> Design:
    """The design with the joint of the run at `index` made sound again around the way that run now joins."""
    way, met = joins_as(design.runs[index]), children_of(design)[design.runs[index].joins]
    for run in met:
        wanted = _beside(way, joins_as(run), len(met))
        if run.id != design.runs[index].id and wanted != joins_as(run):
            design = edits.set_field(design, edits.run_place(design, run.id), "as_", wanted)
    return design


def _beside(way: str, present: str, met: int) -> str:
    """How a run joins beside one that joins in the `way` given, where `met` runs meet."""
    if way == "leg" and met == 2:
        return "leg"
    if present == "leg" or present == way == "straight":
        return "branch"
    return present
