"""A machine in one breath: "saw 2.4, 3.1", "planer 5, 1 up 0.9 1.2 x 0.7 moves", "kiln fan 2, 3 125 600", "= 4, 3.1".

What the line leaves open the kind has: ports with their bores and flows, and
the room it takes. With a bore and a flow said the machine has one port, and
as many more as follow with + between: "saw 2.4, 3.1 110 700 + 63 180 up 1.3".
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from engine import catalog
from engine.catalog.kinds import usual_body, usual_first, words_of_kinds
from engine.design import Body, Design, Machine, Port, system
from engine.design.entries import entries
from engine.design.from_catalog import plain_name, ports_of_kind
from engine.design.names import fresh_name
from engine.design.typed import BadValue, read_figure
from engine.survey.breath import is_figure, is_size, sizes_of, spot_apart, words_of
from engine.survey.floor import spot_example
from engine.survey.ports import ports_text, read_port, read_way
from engine.survey.standing import standing_wrong
from engine.units import Quantity, UnitError, make
from engine.units.ranges import parse_range
from engine.units.words import counted
from engine.values import dataclass

SAME = ("=", "same", '"')
_FLAGS = ("moves", "shared")
_FLAG = re.compile(rf"[,;]?\s*\b({'|'.join(_FLAGS)})\b", re.IGNORECASE)
_SIZED = re.compile(r" (?:to|of) (?=[0-9])")
_PORTS_APART = re.compile(r"\s+\+\s+")
_MOST_OTHERS = 2


@dataclass(frozen=True, slots=True)
class Said:
    """A machine as it was said, the name of its kind ("" for one's own), and how it was understood."""

    machine: Machine
    kind: str
    told: str


def read_machine(design: Design, kinds: Sequence[str], text: str) -> Said:
    """A machine from a line; `kinds` are those of the design's machines. Raises BadValue."""
    units = system(design)
    called, _, said = text.rpartition(":")
    flags = tuple(flag.lower() for flag in _FLAG.findall(said))
    said, *more = _PORTS_APART.split(_FLAG.sub("", said))
    parts = [words_of(part) for part in more]
    more = [" ".join(word for word in part if not is_size(word)) for part in parts]
    words = [*spot_apart(said), *(word for part in parts for word in part if is_size(word))]  # the size is the machine's, wherever it is said
    first = next((at for at, word in enumerate(words) if is_figure(word)), len(words))
    names = words[:first]
    line = _line(words[first:], units, flags)
    if names and names[0].lower() in SAME:
        if not design.machines:
            raise BadValue("there is no machine before it yet")
        machine, kind, others = replace(design.machines[-1], east=None, north=None), kinds[-1], ""
    else:
        machine, kind, others = _of_kind(names, line, units)
    usual = len(machine.ports)
    machine = _with_line(machine, line, more, units)
    name = fresh_name(called.strip() or machine.id, {other.id for other in design.machines})
    machine = replace(machine, id=name)
    if wrong := standing_wrong(design, machine):
        raise BadValue(wrong)
    fewer = f"{counted(len(machine.ports), 'port')}, as you say, of the {usual} it mostly has" if len(machine.ports) < usual else ""
    return Said(machine, kind, told(machine, kind, others, fewer))


@dataclass(frozen=True, slots=True)
class _Line:
    """The figures of a line: what it says of place, height, body, bore and flow; None where it says nothing."""

    spot: tuple[Quantity, Quantity] | None
    up: Quantity | None
    body: tuple[Quantity, ...]
    bore: Quantity | None
    needs: Quantity | None
    faces: str | None
    flags: tuple[str, ...]


def _line(words: Sequence[str], units: str, flags: tuple[str, ...]) -> _Line:
    of_machine, of_port, of_body = (entries(cls) for cls in (Machine, Port, Body))
    plain: list[str] = []
    up = bore = needs = faces = None
    body: tuple[Quantity, ...] = ()
    rest = iter(words)
    for word in rest:
        if word.lower() == "up":
            up = read_figure(of_machine["up"], next(rest, ""), units)
        elif word.lower() == "faces":
            faces = read_way(next(rest, ""))
        elif is_size(word):
            body = tuple(read_figure(entry, part, units) for entry, part in zip(of_body.values(), sizes_of(word), strict=False))
        elif _is_flow(word):
            needs = read_figure(of_port["needs"], word, units)
        elif is_figure(word):
            plain.append(word)
        else:
            raise BadValue(f"{word!r}: wanted figures after the place, up with a height, faces with a way, moves or shared")
    if len(plain) == 1 or len(plain) > 4 or (len(plain) > 3 and needs):
        raise BadValue(f"wanted how far east and north, as {spot_example(units)}; then bore and flow, if they are known")
    spot = (read_figure(of_machine["east"], plain[0], units), read_figure(of_machine["north"], plain[1], units)) if plain else None
    bore = read_figure(of_port["bore"], plain[2], units) if len(plain) > 2 else None
    needs = read_figure(of_port["needs"], plain[3], units) if len(plain) > 3 else needs
    return _Line(spot, up, body, bore, needs, faces, flags)


def _is_flow(word: str) -> bool:
    try:
        return parse_range(word, "flow") is not None
    except UnitError:
        return False


# ---- kinds


def kinds_like(names: Sequence[str], units: str) -> list[catalog.MachineKind]:
    """The kinds of the catalog whose names have all these words, as far as they are spelt out; those in the units shown first."""
    known, words = usual_first(catalog.machine_kinds(), units), words_of_kinds(names)
    return [kind for kind in known if all(_completed(word, kind) for word in words)]


def _completed(name: str, kind: catalog.MachineKind) -> str:
    """The word of a kind's name that a word begins, "" for none."""
    return next((word for word in re.findall(r"[^\W_]+(?:-\w+)*", kind.name) if word.lower().startswith(name.lower())), "")


def _of_kind(names: Sequence[str], line: _Line, units: str) -> tuple[Machine, str, str]:
    """A machine of the first kind of these words, that kind's name, and the kinds that have them too; or one of the user's own figures."""
    typed = " ".join(names)
    if not names:
        raise BadValue(f"wanted a machine and where it stands, as planer {spot_example(units)}")
    found = kinds_like(names, units)
    if not found and not (line.bore and line.needs):
        raise BadValue(f'no kind of machine "{typed[:40]}" in the catalog: wanted one of its kinds, or bore and flow behind the place')
    if not found:
        return Machine(id=typed, ports=()), "", ""
    kind = next((known for known in found if line.bore and known.ports[0].bore.si == line.bore.si), found[0])
    others = [other.name for other in found if other is not kind and other.system == kind.system]
    return of_kind(_name(names, kind), kind, units), kind.name, "; ".join(others[:_MOST_OTHERS])


def _name(names: Sequence[str], kind: catalog.MachineKind) -> str:
    """What a machine is called: as its kind is, or as it was typed in whole words of that; of a kind with two names the one typed, spelt out."""
    if len(names) > 1 and all(_completed(name, kind).lower() == name.lower() for name in names):
        return " ".join(names)
    plain = _SIZED.split(plain_name(kind))[0]
    return " ".join(_completed(word, kind) for word in words_of_kinds(names)) if " or " in plain else plain


def of_kind(name: str, kind: catalog.MachineKind, units: str) -> Machine:
    """A machine of a kind, with its ports; the room it takes and the height of its port are common practice, no source."""
    made = Machine(id=name, ports=ports_in(kind, units))
    body = usual_body(kind.name, units)
    return replace(made, size=Body(east=body.east, north=body.north, up=body.up), up=body.port_up) if body else made


def ports_in(kind: catalog.MachineKind, units: str) -> tuple[Port, ...]:
    """The ports of a kind, their figures told in the units shown."""
    ports = ports_of_kind(kind)
    if kind.system == units:
        return ports
    return tuple(replace(port, bore=_told_in(port.bore, "bore", units), needs=_told_in(port.needs, "flow", units)) for port in ports)


def _told_in(value: Quantity, dimension: str, units: str) -> Quantity:
    return make(value.si, dimension, units)


def _with_line(machine: Machine, line: _Line, more: Sequence[str], units: str) -> Machine:
    """The machine with what the line says, and what it says of more ports."""
    ports = machine.ports
    if (line.bore or line.needs) and not (line.bore and line.needs) and len(ports) > 1:
        raise BadValue(
            f"{machine.id} mostly has {len(ports)} ports, {ports_text(machine)}: say bore and flow where it has one, or each with + between"
        )
    if line.bore or line.needs:
        port = ports[0] if ports else Port(id="hood", bore=line.bore, needs=line.needs)  # type: ignore[arg-type]  # both are said
        ports = (replace(port, bore=line.bore or port.bore, needs=line.needs or port.needs),)
    if line.faces and ports:
        ports = (replace(ports[0], faces=line.faces), *ports[1:])
    usual = [port.id for port in machine.ports]
    for at, text in enumerate(more, 1):
        made = read_port(replace(machine, ports=ports[:at]), at, text, units).ports[at]
        named = made.id if made.id != "port" or at >= len(usual) else usual[at]
        ports = (*ports[:at], replace(made, id=named))
    east, north = line.spot or (machine.east, machine.north)
    size = replace(machine.size, **dict(zip(("east", "north", "up"), line.body, strict=False)))
    moves, shared = (True if flag in line.flags else None for flag in _FLAGS)
    return replace(
        machine, ports=ports, east=east, north=north, up=line.up or machine.up, size=size,
        moves=moves or machine.moves, shared_drop=shared or machine.shared_drop,
    )  # fmt: skip


# ---- in words


def told(machine: Machine, kind: str, others: str = "", fewer: str = "") -> str:
    """What is known of a machine; `others` are kinds that may be meant, `fewer` what its kind has besides."""
    body = " x ".join(side.text for side in (machine.size.east, machine.size.north) if side)
    spot = f"{machine.east.text} east, {machine.north.text} north" if machine.east and machine.north else "along a wall"
    parts = [
        f"{machine.id}: {kind or 'your own figures'}", ports_text(machine), fewer, f"port {machine.up.text} up" if machine.up else "",
        body, spot, "moves" if machine.moves else "", "one shared drop" if machine.shared_drop else "",
    ]  # fmt: skip
    return "; ".join(filter(None, parts)) + (f". Not meant? {others}" if others else "")
