"""A shop a little other than its design, and the keys that take its readings; invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from textual.pilot import Pilot

from engine.design import READ, Design, GateSet, gate_sets_of, system
from engine.field.expected import Expected, expected
from engine.field.sheet import Stop, stops
from engine.field.taking import reading_at, with_point
from engine.units import Quantity, number_text


def truth(design: Design) -> Design:
    """Ports that take a tenth more, a collector that gives 3 % less."""
    machines = tuple(
        replace(machine, ports=tuple(replace(port, loss=1.1 * (port.loss or 1.5)) for port in machine.ports)) for machine in design.machines
    )
    curve = tuple(replace(point, pressure=Quantity(0.97 * point.pressure.si, "")) for point in design.collector.curve)
    return replace(design, machines=machines, collector=replace(design.collector, curve=curve))


def gauge(shop: Design, gate_set: GateSet, stop: Stop) -> str:
    """What a gauge shows at a stop in the shop as it truly is, without its unit."""
    there = with_point(shop, stop)
    (found,) = expected(there, [reading_at(there, gate_set, stop, "0", date(2026, 3, 1))])
    assert isinstance(found, Expected), found
    units = system(shop)
    return number_text(found.value, READ[stop.what], units, digits=2 if (READ[stop.what], units) == ("pressure", "imperial") else 0)


async def take(pilot: Pilot, design: Design, count: int) -> tuple[int, int]:
    """Set the gates and take the readings of so many gate sets; how many readings and keys that took, those for the gates among them."""
    shop, readings, keys = truth(design), 0, 0
    for gate_set in gate_sets_of(design)[:count]:
        await pilot.press("enter")
        keys += 1
        for stop in stops(design, gate_set):
            typed = [*gauge(shop, gate_set, stop), "enter"]
            await pilot.press(*typed)
            readings, keys = readings + 1, keys + len(typed)
    return readings, keys
