"""The fields of the piece pane, for every kind of thing a design holds. Made from its Entry table; nothing is drawn here."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import Any

from engine import catalog, edits
from engine.catalog.finding_limits import finding_limits
from engine.catalog.limits import Limit
from engine.design import (
    Collector,
    Conveying,
    Design,
    Elbow,
    Gate,
    Hose,
    Port,
    Run,
    Stock,
    Throttle,
    defaults,
    joins_as,
    ports_of,
    stock_sizes,
    system,
)  # fmt: skip
from engine.design.entries import Entry, entries
from engine.design.meaning import elbow_shape, pipe_stock
from engine.design.model import ANY_PLACE
from engine.design.names import places_by_name
from engine.design.places import EndOf, JointOf, PieceAt, Place, PortAt, Rows, Within
from engine.design.rules.record import known_limits
from engine.units import Quantity, show, show_about
from engine.values import dataclass
from tui.work.fields.points import text_of_points

_NOT_FIELDS = ("list", "table")
_JOINT_FIELDS = ("joins", "as_", "angle", "toward", "taper", "loss")
_END_FIELDS = ("ends", "port_taper")
_POINTS = "flow and pressure of each point, with ; between; or paste them, a line each"


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a form.

    `place` and `name` say which attribute of the design it is; `text` is what
    the design holds as typed, "" where absent; `default` what then holds.
    `choices` are what it may name, for a choice, a flag or a reference.
    A field of the kind "names" stands for one `member` that is in or out.
    """

    place: Place
    name: str
    label: str
    entry: Entry
    text: str
    default: str = ""
    choices: tuple[str, ...] = ()
    member: str = ""

    @property
    def toggles(self) -> bool:
        """Whether it is set by cycling or toggling rather than by typing."""
        return self.entry.kind in ("choice", "flag", "names", "reference")


def fields(design: Design, place: Place) -> tuple[Field, ...]:
    """The fields of what stands at `place`; none for the heading of a list, but for the curve's, whose points are one."""
    if isinstance(place, Rows) and place.field == "curve":
        return (_points(design, place),)
    if isinstance(place, JointOf):
        return tuple(_some(design, place.holder, _JOINT_FIELDS))
    if isinstance(place, EndOf):
        return (*_some(design, place.holder, _END_FIELDS), *_port_fields(design, design.runs[place.run]))
    item = edits.at(design, place)
    return () if isinstance(item, tuple) else tuple(_some(design, place, entries(type(item))))


def _points(design: Design, place: Rows) -> Field:
    """The points of a collector's curve in one line."""
    return Field(place.of, "curve", "points", replace(entries(Collector)["curve"], meaning=_POINTS), text_of_points(edits.at(design, place)))


def _port_fields(design: Design, run: Run) -> Iterator[Field]:
    for at, machine in enumerate(design.machines):
        for i, port in enumerate(machine.ports):
            if f"{machine.id}/{port.id}" == run.ends:
                yield from _some(design, PortAt(at, i), entries(Port))


def _some(design: Design, place: Place, names: Iterable[str]) -> Iterator[Field]:
    item = edits.at(design, place)
    table = entries(type(item))
    for name in names:
        entry = table[name]
        if entry.kind == "table" and entry.inline:
            inner = Within(place, name)
            yield from (replace(field, label=f"{entry.key} {field.label}") for field in _some(design, inner, entries(entry.item)))
        if entry.kind in _NOT_FIELDS or _out_of_place(item, name):
            continue
        if entry.kind == "names":
            held = getattr(item, name)
            for member in choices_of(design, item, entry):
                yield Field(place, name, member, entry, "x" if member in held else "", member=member)
            continue
        text = text_of_value(getattr(item, name))
        yield Field(place, name, entry.key.replace("_", " "), entry, text, _default(design, place, item, name), choices_of(design, item, entry))


def _out_of_place(item: Any, name: str) -> bool:
    """Whether a field says nothing about this thing, as it stands."""
    if not isinstance(item, Run):
        return False
    return (name in ("angle", "toward") and joins_as(item) == "straight") or (name == "port_taper" and item.ends is None)


def text_of_value(value: Any) -> str:
    """A value of a field as it is typed; "" for what is absent."""
    match value:
        case None:
            return ""
        case Quantity():
            return value.text
        case bool():
            return "yes" if value else "no"
        case float():
            return f"{value:.12g}"
        case _:
            return str(value)


def choices_of(design: Design, item: Any, entry: Entry) -> tuple[str, ...]:
    """What a field of `item` may name, in the order to offer it; nothing for a field that is typed freely."""
    match entry.kind:
        case "choice":
            return entry.choices
        case "flag":
            return ("yes", "no")
        case "reference" | "names":
            return _referred(design, item, entry.refers_to)
    return ()


def _referred(design: Design, item: Any, refers_to: str) -> tuple[str, ...]:
    match refers_to:
        case "stock size":
            kinds = ("hose",) if isinstance(item, Hose) else ("pipe", "hose")
            sizes = stock_sizes(design).items()
            return tuple(name for kind in kinds for name, (stock, _) in sizes if stock.kind == kind)
        case "collector or run" if isinstance(item, Run):
            beyond = {item.id, *(run.id for run in edits.beyond(design, item.id))}
            known = ("collector",) if item.joins == "collector" else ()
            return (*known, *(run.id for run in design.runs if run.id not in beyond))
        case "port" if isinstance(item, Run):
            taken = {run.ends for run in design.runs if run is not item}
            return tuple(port for port in ports_of(design) if port not in taken)
        case "gate":
            throttled = _throttled_beside(design, item)
            gates = (piece.name for run in design.runs for piece in run.pieces if isinstance(piece, Gate))
            return tuple(gate for gate in gates if gate not in throttled)
    return tuple(_KNOWN[refers_to](design)) if refers_to in _KNOWN else ()


# What any thing of a design may name, by what it refers to.
_KNOWN: dict[str, Callable[[Design], Iterable[str]]] = {
    "machine": lambda design: (machine.id for machine in design.machines),
    "port": ports_of,
    "collector or run": lambda design: ("collector", *(run.id for run in design.runs)),
    ANY_PLACE: places_by_name,
    "gate set": lambda design: (gate_set.name for gate_set in design.gate_sets),
    "test point": lambda design: (point.id for point in design.test_points),
    "finding": lambda _: finding_limits(),
    "limit": lambda _: known_limits(),
    "material": lambda _: catalog.conveyed_materials(),
    "pipe material": lambda _: catalog.pipe_materials(),
}


def _throttled_beside(design: Design, item: Throttle) -> set[str]:
    """The gates that the other rows of this one's gate set throttle."""
    rows = next(gate_set.throttle for gate_set in design.gate_sets if any(row is item for row in gate_set.throttle))
    return {row.gate for row in rows if row is not item}


def _default(design: Design, place: Place, item: Any, name: str) -> str:
    """What holds where the field is absent, in the units shown; "" for nothing."""
    entry = entries(type(item))[name]
    known = _default_value(design, place, item, name)
    if isinstance(item, Conveying) and isinstance(known, float):
        return show_about(known, entry.dimension, system(design), least=name != "fast")
    if isinstance(known, float):
        return show(known, entry.dimension, system(design)) if entry.dimension else f"{known:g}"
    if known is None and isinstance(entry.absent, Quantity):
        return show(entry.absent.si, entry.dimension, system(design))
    return known or entry.shown_default


def _default_value(design: Design, place: Place, item: Any, name: str) -> float | str | None:
    """A default that depends on the rest of the design, SI."""
    match item, name:
        case Run(), "bore" | "material" if item.size:
            stock, size = stock_sizes(design)[item.size]
            return size.bore.si if name == "bore" else stock.material
        case Run(), "taper":
            return defaults.TAPER.si if joins_as(item) == "straight" else "none"
        case Elbow(), "radius" | "make":
            make, radius, _ = elbow_shape(item, pipe_stock(design.runs[place.run], stock_sizes(design)) if isinstance(place, PieceAt) else None)
            return radius if name == "radius" else make
        case Conveying(), "slow_branch" | "slow_main" | "settles" | "fast":
            usual: Limit = getattr(catalog.conveyed(item.material or defaults.LOAD), name)
            return usual.value
        case Stock(), "roughness":
            return catalog.roughness(item.material).value
    return None
