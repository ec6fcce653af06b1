"""Values of form fields: reading what was typed, cycling, stepping, and what an edit brings with it."""

from __future__ import annotations

from datetime import date
from typing import Any

from engine import edits
from engine.design import Design
from engine.design.limits import unfit_text
from engine.design.places import Place, RunAt
from engine.design.typed import BadValue, read_figure
from engine.units import UnitError, parse, show, unit_name
from tui.work.fields.fields import Field
from tui.work.fields.points import read_points

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
        case "day":
            return _day(text)
        case "list":
            return read_points(text, units)
        case "flag":
            return _one_of(text.lower(), (*_TRUE, *_FALSE)) in _TRUE
        case "choice" | "reference":
            return _one_of(text, field.choices)
    if wrong := unfit_text(entry, text):
        found, wanted = wrong
        raise BadValue(f"{found}: wanted {wanted}")
    if isinstance(field.place, RunAt) and field.name == "id" and _is_length(text):
        raise BadValue(f"{text} is a length: wanted a name here; lengths are in the run's pieces")
    return text


def _is_length(text: str) -> bool:
    try:
        return bool(parse(text, "length"))
    except UnitError:
        return False


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadValue("wanted a date, such as 2026-03-01") from None


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
    """The choice `by` places on from the present one, "" for none where that is allowed; None when there is no other.

    Of yes and no, the one that holds when nothing is said is passed over: to take it would change nothing.
    """
    said = field.choices if field.entry.kind != "flag" else tuple(one for one in field.choices if one != field.default)
    ring = said if field.entry.required or not said else ("", *said)
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
    """The design with `value` in `field` and what changes along with it, and where the field's thing then stands.

    The design may be inconsistent. Raises EditError where a run cannot join what is named.
    """
    item = edits.at(design, field.place)
    if field.entry.kind == "list":
        value = value or ()
    if isinstance(field.place, RunAt) and field.name == "joins":
        return edits.reattach(design, field.place, value)
    if field.entry.kind == "names":
        value = _members(item, field, value)
    return edits.set_field(design, field.place, field.name, value), field.place


def waits(field: Field) -> bool:
    """Whether a value is put in only when it is complete, since it rebuilds the ducts."""
    return field.name == "joins"


def _members(item: Any, field: Field, wanted: bool) -> tuple[str, ...]:
    held = tuple(name for name in getattr(item, field.name) if name != field.member)
    return (*held, field.member) if wanted else held
