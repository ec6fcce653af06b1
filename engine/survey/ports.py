"""The ports of a machine in a breath: "120 820", "guard 63 180-220 up 1.3"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from engine.design import Machine, Port
from engine.design.entries import entries
from engine.design.names import fresh_name
from engine.design.typed import BadValue, read_figure
from engine.survey.breath import is_figure, words_of
from engine.units import Quantity
from engine.units.ranges import as_typed

_EXAMPLES = {"metric": "120 820, or 63 180-220 up 1.3", "imperial": "4 395, or 2 90-110 up 4"}


def read_port(machine: Machine, at: int, text: str, units: str) -> Machine:
    """The machine with its port at an index as a line says: a name where it has one, bore, flow, and up with its height.

    A height that the line leaves out stays. One after the last is added; an empty line takes the port away. Raises BadValue.
    """
    ports = machine.ports
    words = words_of(text)
    if not words:
        if len(ports) < 2:
            raise BadValue("a machine has one port at least")
        return replace(machine, ports=ports[:at] + ports[at + 1 :])
    name, bore, needs, up = _figures(words, units)
    if at < len(ports):
        port = replace(ports[at], bore=bore, needs=needs, id=name or ports[at].id, up=up or ports[at].up)
    else:
        port = Port(id=fresh_name(name or "port", {other.id for other in ports}), bore=bore, needs=needs, up=up)
    return replace(machine, ports=(*ports[:at], port, *ports[at + 1 :]))


def _figures(words: Sequence[str], units: str) -> tuple[str, Quantity, Quantity, Quantity | None]:
    """The name, the bore, the flow and the height that a line says."""
    first = next((i for i, word in enumerate(words) if is_figure(word)), len(words))
    name, (bore, needs, *rest) = " ".join(words[:first]), [*words[first:], "", ""]
    height = [word for word in rest if word]
    if not needs or (height and (height[0].lower() != "up" or len(height) > 2)):
        raise BadValue(f"wanted its bore and its flow, and if known up with its height, as {_EXAMPLES[units]}")
    table = entries(Port)
    up = read_figure(table["up"], height[1] if len(height) > 1 else "", units) if height else None
    return name, read_figure(table["bore"], bore, units), read_figure(table["needs"], needs, units), up


def port_text(port: Port) -> str:
    """A port as `read_port` takes it, without its name."""
    return f"{port.bore.text} {as_typed(port.needs)}" + (f" up {port.up.text}" if port.up else "")


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
