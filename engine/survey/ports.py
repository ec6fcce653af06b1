"""The ports of a machine in a breath: "120 820", "guard 63 180-220 up 1.3"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from engine.design import Machine, Port
from engine.design.entries import entries
from engine.design.names import fresh_name
from engine.design.typed import BadValue, read_figure
from engine.shapes.vectors import DIRECTIONS
from engine.survey.breath import is_figure, words_of
from engine.units import Quantity
from engine.units.ranges import as_typed

_EXAMPLES = {"metric": "120 820, or 63 180-220 up 1.3 faces east", "imperial": "4 395, or 2 90-110 up 4 faces east"}


def read_port(machine: Machine, at: int, text: str, units: str) -> Machine:
    """The machine with its port at an index as a line says: a name where it has one, bore, flow, up with its height, faces with a direction.

    Where it is stays where the line leaves it out. One after the last is added; an empty line takes the port away. Raises BadValue.
    """
    ports = machine.ports
    words = words_of(text)
    if not words:
        if len(ports) < 2:
            raise BadValue("a machine has one port at least")
        return replace(machine, ports=ports[:at] + ports[at + 1 :])
    name, bore, needs, where = _figures(words, units)
    if at < len(ports):
        port = replace(ports[at], bore=bore, needs=needs, id=name or ports[at].id, **where)
    else:
        port = Port(id=fresh_name(name or "port", {other.id for other in ports}), bore=bore, needs=needs, **where)
    return replace(machine, ports=(*ports[:at], port, *ports[at + 1 :]))


def _figures(words: Sequence[str], units: str) -> tuple[str, Quantity, Quantity, dict[str, Any]]:
    """The name, the bore, the flow that a line says, and what it says of where the port is."""
    first = next((i for i, word in enumerate(words) if is_figure(word)), len(words))
    name, figures, rest = " ".join(words[:first]), words[first : first + 2], words[first + 2 :]
    said = dict(zip((word.lower() for word in rest[::2]), rest[1::2], strict=False))
    if len(figures) < 2 or len(rest) != 2 * len(said) or not said.keys() <= {"up", "faces"}:
        raise BadValue(f"wanted its bore and its flow, and if known up with its height and the way it faces, as {_EXAMPLES[units]}")
    table = entries(Port)
    where: dict[str, Any] = {"up": read_figure(table["up"], said["up"], units)} if "up" in said else {}
    where |= {"faces": read_way(said["faces"])} if "faces" in said else {}
    return name, read_figure(table["bore"], figures[0], units), read_figure(table["needs"], figures[1], units), where


def read_way(text: str) -> str:
    """A direction, as far as it is spelt out. Raises BadValue."""
    found = [way for way in DIRECTIONS if text and way.startswith(text.lower())]
    if len(found) != 1:
        raise BadValue(f"{text!r}: wanted the way it faces, one of {', '.join(DIRECTIONS)}")
    return found[0]


def port_text(port: Port) -> str:
    """A port as `read_port` takes it, without its name."""
    where = (f" up {port.up.text}" if port.up else "") + (f" faces {port.faces}" if port.faces else "")
    return f"{port.bore.text} {as_typed(port.needs)}{where}"


def ports_text(machine: Machine) -> str:
    """The ports of a machine, each with its name where there are several."""
    return ", ".join(f"{port.id} {port_text(port)}" if len(machine.ports) > 1 else port_text(port) for port in machine.ports)


def ports_in_short(machine: Machine) -> str:
    """The ports of a machine where there is little room: all of one, of several their bores."""
    ports = machine.ports
    return port_text(ports[0]) if len(ports) == 1 else f"{len(ports)} ports: {', '.join(port.bore.text for port in ports)}"


def at_first_height(machine: Machine) -> Iterator[Port]:
    """The further ports of a machine that stand as high as its first, for want of a height of their own."""
    return (port for port in machine.ports[1:] if port.up is None)
