"""Stocked bores side by side: the flows at which each is neither slow nor fast, and the friction of a metre of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from textwrap import wrap

from engine.air.ducts import area, reynolds_per_flow, stock_roughness
from engine.air.losses.friction import colebrook
from engine.air.properties import Air
from engine.checks.assess import Assessment
from engine.checks.look import Limits
from engine.design import Stock, StockSize, system
from engine.units import number_text, show_about, unit_name

# Columns of the table at the most.
_STEPS = 8
# Flows beside the bands that are still on the chart.
_MARGIN = 1.05


@dataclass(frozen=True, slots=True)
class Bore:
    """A stocked size, `in_store` or not: from `settles` over `slow` to `fast` the flows (m3/s) at those limits of its speed."""

    ref: str
    bore: float
    roughness: float
    in_store: bool
    settles: float
    slow: float
    fast: float

    def speed(self, flow: float) -> float:
        """Speed in it, m/s."""
        return flow / area(self.bore)

    def pressure(self, flow: float, air: Air) -> float:
        """Friction of a metre of it, Pa, by Colebrook."""
        if flow <= 0:
            return 0.0
        factor, _ = colebrook(flow * reynolds_per_flow(self.bore, air), self.roughness / self.bore)
        return factor / self.bore * air.density / 2 * self.speed(flow) ** 2


@dataclass(frozen=True, slots=True)
class Chart:
    """The bores that a run could have, narrowest first, `present` its own; `flows` through it by gate set, m3/s."""

    run: str
    present: str | None
    limits: Limits
    air: Air
    bores: tuple[Bore, ...]
    flows: tuple[tuple[str, float], ...]

    @property
    def end(self) -> float:
        """The largest flow worth showing, m3/s."""
        return _MARGIN * max([*(bore.fast for bore in self.bores), *(flow for _, flow in self.flows)])

    def steps(self, most: int) -> tuple[float, ...]:
        """At most so many flows to tabulate at, m3/s: those through it where they are few, else evenly from the least to the largest."""
        flows = sorted({round(flow, 4) for _, flow in self.flows})
        if 0 < len(flows) <= most:
            return tuple(flows)
        low, high = (flows[0], flows[-1]) if flows else (self.end / most, self.end)
        return tuple(low + (high - low) * step / max(most - 1, 1) for step in range(most))


def chart(assessment: Assessment, run: str) -> Chart | None:
    """The chart of a run; None where it is of no stocked size and the design has no pipe to compare with."""
    look = assessment.look
    size = look.runs[run].size
    stock = look.sizes[size][0] if size else next((stock for stock in assessment.design.stock if stock.kind == "pipe"), None)
    if stock is None or not stock.sizes:
        return None
    limits = assessment.limits(run)
    bores = sorted((_bore(stock, one, limits) for one in stock.sizes), key=lambda bore: bore.bore)
    flows = tuple(
        (result.gate_set.name, result.balance.runs[run].flow)
        for result in assessment.sets if result.balance and result.balance.runs[run].carries
    )  # fmt: skip
    return Chart(run, size, limits, assessment.air, tuple(bores), flows)


def _bore(stock: Stock, size: StockSize, limits: Limits) -> Bore:
    across = area(size.bore.si)
    return Bore(
        f"{stock.id}/{size.nominal}", size.bore.si, stock_roughness(stock), size.in_store is not False,
        limits.settles.value * across, limits.slow.value * across, limits.fast.value * across,
    )  # fmt: skip


# What a band is drawn with: a flow that settles, one that is good, the ends of those, a flow of the run.
SIGNS = ".-||o"


def band(shown: Chart, bore: Bore, width: int, signs: str = SIGNS) -> str:
    """A bore's row of `width` cells: the flows from slow to fast as a line, those that settle dotted, the run's own as rings."""
    dotted, flat, left, right, ring = signs
    cells = [" "] * width

    def at(flow: float) -> int:
        return min(int(width * flow / shown.end), width - 1)

    for cell in range(at(bore.settles), at(bore.slow)):
        cells[cell] = dotted
    for cell in range(at(bore.slow), at(bore.fast) + 1):
        cells[cell] = flat
    cells[at(bore.slow)], cells[at(bore.fast)] = left, right
    for _, flow in shown.flows:
        cells[at(flow)] = ring
    return "".join(cells)


def as_text(assessment: Assessment, run: str, width: int = 80, signs: str = SIGNS) -> Iterator[str]:
    """The chart and its table in lines of at most `width` cells; `signs` are characters in the order of `SIGNS`."""
    shown, units = chart(assessment, run), system(assessment.design)
    if shown is None:
        yield f"{run}: no stocked pipe to compare with"
        return
    band_of, unit = shown.limits, unit_name("flow", units)
    yield from wrap(
        f"{run}, {band_of.kind}: good from {show_about(band_of.slow.value, 'speed', units)} to {show_about(band_of.fast.value, 'speed', units)}", width
    )
    names = [f"{'>' if bore.ref == shown.present else ' '}{bore.ref}{'' if bore.in_store else ', out'}" for bore in shown.bores]
    left = min(max(map(len, names)), width // 3)
    room = width - left - 1
    for name, bore in zip(names, shown.bores):
        yield f"{name[:left]:<{left}} {band(shown, bore, room, signs)}".rstrip()
    end = f"{number_text(shown.end, 'flow', units)} {unit}"
    yield f"{'':<{left}} {'0':<{room - len(end)}}{end}"
    dotted, flat, left_end, right_end, ring = signs
    yield from wrap(f"{left_end}{flat}{right_end} neither slow nor fast; {dotted}{dotted} slow, not yet settling; {ring} this run in a gate set", width)
    yield ""
    yield from _table(shown, names, left, width, units)


def _table(shown: Chart, names: list[str], left: int, width: int, units: str) -> Iterator[str]:
    """Speed and pressure of a metre, by bore, at some flows."""
    cell = 13
    steps = shown.steps(min(max((width - left) // cell, 1), _STEPS))
    yield f"{unit_name('flow', units):<{left}}" + "".join(f"{number_text(flow, 'flow', units):>{cell}}" for flow in steps)
    for name, bore in zip(names, shown.bores):
        texts = (_speed_and_pressure(shown, bore, flow, units) for flow in steps)
        yield f"{name[:left]:<{left}}" + "".join(f"{text:>{cell}}" for text in texts)
    out = "" if all(bore.in_store for bore in shown.bores) else "; out: not in the store"
    yield from wrap(f"each: speed in {unit_name('speed', units)}, friction in {_PER[units][1]}; ! slow or fast{out}", width)


# Friction of a length that people know, by units: its length in m, and its name.
_PER = {"metric": (1.0, "Pa a metre"), "imperial": (0.3048 * 100, "inH2O a 100 ft")}


def _speed_and_pressure(shown: Chart, bore: Bore, flow: float, units: str) -> str:
    speed = bore.speed(flow)
    mark = "" if shown.limits.slow.value <= speed <= shown.limits.fast.value else "!"
    pressure = number_text(_PER[units][0] * bore.pressure(flow, shown.air), "pressure", units)
    return f"{number_text(speed, 'speed', units)}{mark} {pressure}"
