"""Stocked bores side by side as text: the flows at which each is neither slow nor fast, its speed and the friction of a metre."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap
from typing import NamedTuple

from engine.checks.assess import Assessment
from engine.design import system
from engine.field.tuned import tuned_note
from engine.report.pen import WIDTH
from engine.search.sizing.chart import Bore, Chart, chart
from engine.units import number_text, show_about, unit_name

# Columns of the table at the most.
_STEPS = 8


class Signs(NamedTuple):
    """What a band is drawn with: a flow that settles, one that is good, the ends of those, a flow of the run."""

    dotted: str = "."
    flat: str = "-"
    left: str = "|"
    right: str = "|"
    ring: str = "o"


SIGNS = Signs()


def band(shown: Chart, bore: Bore, width: int, signs: Signs = SIGNS) -> str:
    """A bore's row of `width` cells: the flows from slow to fast as a line, those that settle dotted, the run's own as rings."""
    cells = [" "] * width

    def at(flow: float) -> int:
        return min(int(width * flow / shown.end), width - 1)

    for cell in range(at(bore.settles), at(bore.slow)):
        cells[cell] = signs.dotted
    for cell in range(at(bore.slow), at(bore.fast) + 1):
        cells[cell] = signs.flat
    cells[at(bore.slow)], cells[at(bore.fast)] = signs.left, signs.right
    for _, flow in shown.flows:
        cells[at(flow)] = signs.ring
    return "".join(cells)


def as_text(assessment: Assessment, run: str, width: int = WIDTH, signs: Signs = SIGNS) -> Iterator[str]:
    """The chart and its table in lines of at most `width` cells."""
    shown, units = chart(assessment, run), system(assessment.design)
    if shown is None:
        yield f"{run}: no stocked pipe to compare with"
        return
    if note := tuned_note(assessment.design):
        yield from wrap(note, width)
    unit, speeds = unit_name("flow", units), shown.limits
    slow, fast = show_about(speeds.slow.value, "speed", units, least=True), show_about(speeds.fast.value, "speed", units)
    yield from wrap(f"{run}, {speeds.kind}: good from {slow} to {fast}", width)
    names = [f"{'>' if bore.ref == shown.present else ' '}{bore.ref}{'' if bore.in_store else ', out'}" for bore in shown.bores]
    left = min(max(map(len, names)), width // 3)
    room = width - left - 1
    for name, bore in zip(names, shown.bores, strict=True):
        yield f"{name[:left]:<{left}} {band(shown, bore, room, signs)}".rstrip()
    end = f"{number_text(shown.end, 'flow', units)} {unit}"
    yield f"{'':<{left}} {'0':<{room - len(end)}}{end}"
    good, settling = f"{signs.left}{signs.flat}{signs.right}", 2 * signs.dotted
    yield from wrap(f"{good} neither slow nor fast; {settling} slow, not yet settling; {signs.ring} this run in a gate set", width)
    yield ""
    yield from _table(shown, names, left, width, units)


def _table(shown: Chart, names: list[str], left: int, width: int, units: str) -> Iterator[str]:
    """Speed and pressure of a metre, by bore, at some flows."""
    cell = 13
    steps = shown.steps(min(max((width - left) // cell, 1), _STEPS))
    yield f"{unit_name('flow', units):<{left}}" + "".join(f"{number_text(flow, 'flow', units):>{cell}}" for flow in steps)
    for name, bore in zip(names, shown.bores, strict=True):
        texts = (_speed_and_pressure(shown, bore, flow, units) for flow in steps)
        yield f"{name[:left]:<{left}}" + "".join(f"{text:>{cell}}" for text in texts)
    out = "" if all(bore.in_store for bore in shown.bores) else "; out: not in the store"
    yield from wrap(f"each: speed in {unit_name('speed', units)}, friction in {_PER[units][1]}; ! slow or fast{out}", width)


# Friction of a length that people know, by units: its length in m, and its name.
_PER = {"metric": (1.0, "Pa a metre"), "imperial": (0.3048 * 100, "inH2O a 100 ft")}


def _speed_and_pressure(shown: Chart, bore: Bore, flow: float, units: str) -> str:
    speed = bore.speed(flow)
    mark = "" if shown.limits.slow.least <= speed <= shown.limits.fast.most else "!"
    pressure = number_text(_PER[units][0] * bore.pressure(flow, shown.air), "pressure", units)
    return f"{number_text(speed, 'speed', units)}{mark} {pressure}"
