"""The results tab "curve": what the collector supplies, what the ducts take, and the point where they meet."""

from __future__ import annotations

from dataclasses import dataclass

from engine.air.balance import duct_curve
from engine.checks.assess import Assessment
from engine.units import number_text, unit_name
from tui.draw.lines import Line, wrapped
from tui.draw.raster import Raster, round_step
from tui.panes.results.view import Item, View, figure, packed

_SUPPLY_STEPS = 24
_DUCT_STEPS = 10
_SMALLEST = (20, 4)
Points = list[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Curves:
    """Points (m3/s, Pa), flows rising: what the collector supplies, and what the ducts take; `point` is where they meet."""

    supply: Points
    demand: Points
    point: tuple[float, float] | None


def curves(assessment: Assessment, index: int) -> Curves:
    """The curves of a gate set. This solves the ducts anew for each point: call it once for each assessment."""
    fan, result = assessment.tree.fan, assessment.sets[index]
    balance = result.balance
    end = max(fan.high, 1.1 * balance.flow if balance else 0.0)
    supply = [(flow, fan.pressure(flow)[0]) for flow in (end * step / _SUPPLY_STEPS for step in range(_SUPPLY_STEPS + 1))]
    if balance is None or balance.flow <= 0:
        return Curves(supply, [], None)
    top = max(pressure for _, pressure in supply)
    pressures = [top * (step / _DUCT_STEPS) ** 2 for step in range(1, _DUCT_STEPS + 1)]
    demand = [(0.0, 0.0), *sorted(duct_curve(assessment.tree, result.open_ports, pressures))]
    return Curves(supply, demand, (balance.flow, balance.collector_pressure))


def items(view: View, known: Curves) -> list[Item]:
    """The chart, as large as there is room for, with its numbers below."""
    numbers = _numbers(view, known)
    height = min(view.height - len(numbers), max(view.width // 2, _SMALLEST[1]))
    if view.width < _SMALLEST[0] or height < _SMALLEST[1]:
        return [Item(tuple(numbers))]
    return [Item((*_chart(view, known, height), *numbers))]


def _numbers(view: View, known: Curves) -> list[Line]:
    if known.point is None:
        return wrapped(view.result.trouble or "no open port draws air in this gate set", view.width, "dim")
    old = view.old.balance if view.old else None
    flow = figure("meet at", "flow", view.units, known.point[0], old and old.flow)
    pressure = figure("", "pressure", view.units, known.point[1], old and old.collector_pressure)[1:]
    return packed([flow, pressure], view.width, gap=2)


def _chart(view: View, known: Curves, height: int) -> list[Line]:
    """Raster of the curves, axes in the units shown; the last row holds the flows' labels."""
    top, end = max(pressure for _, pressure in known.supply), known.supply[-1][0]
    tall = (number_text(top, "pressure", view.units), unit_name("pressure", view.units))
    left = max(map(len, tall))
    raster = Raster(view.width, height, view.glyphs)
    floor, wide = height - 2, view.width - left - 1
    raster.line([(left, 0), (left, floor), (view.width - 1, floor)], "dim")
    for row, text in zip((0, 1, floor), (*tall, "0")):
        raster.text(left - len(text), row, text, "dim")
    _flow_labels(raster, view, left + 1, wide, end)

    def cells(points: Points) -> Points:
        return [(left + 1 + wide * flow / end, floor - floor * pressure / top) for flow, pressure in points if pressure >= 0]

    raster.curve(cells(known.supply), "supply")
    raster.curve(cells(known.demand), "demand", dotted=True)
    _names(raster, cells(known.supply), cells(known.demand), left)
    if known.point:
        raster.point(*cells([known.point])[0], "ring", "value")
    return raster.rows()


def _flow_labels(raster: Raster, view: View, left: int, wide: int, end: float) -> None:
    unit = unit_name("flow", view.units)
    scale = end / float(number_text(end, "flow", view.units, digits=6))
    step = round_step(end / scale, max(wide // 9, 1))
    mark, free = 0.0, 0
    while mark * scale <= end:
        text = f"{mark:g}" + (f" {unit}" if mark == 0 else "")
        at = min(left + round(wide * mark * scale / end), raster.width - len(text))
        if at >= free:
            raster.text(at, raster.height - 1, text, "dim")
            free = at + len(text) + 1
        mark += step


def _names(raster: Raster, supply: Points, demand: Points, left: int) -> None:
    """Each curve's name beside it: the supply's below its start, the ducts' left of their end."""
    x, y = supply[0]
    raster.text(left + 2, min(int(y) + 2, raster.height - 3), "collector", "supply")
    if demand:
        x, y = demand[-1]
        raster.text(max(int(x) - 7, left + 2), max(int(y), 0), "ducts", "demand")
