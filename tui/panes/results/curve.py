"""The results tab "curve": what the collector supplies, what the ducts take, where they meet, and what each gate set asks of the collector."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from engine.air.curves import Curves, curves
from engine.checks.assess import Assessment
from engine.units import number_text, show, unit_name
from engine.values import dataclass
from tui.draw.charts import SMALLEST, Curve, Spot, plot
from tui.draw.lines import Line, line, side_by_side, wrapped
from tui.panes.item import Item, Table
from tui.panes.results.view import View, axis_of, figure

if TYPE_CHECKING:
    from engine.search.collectors import Duty


@dataclass(frozen=True, slots=True)
class Known:
    """The curves of a gate set, the duties of all sets that have one, and the hardest of them."""

    curves: Curves
    duties: tuple[Duty, ...]
    hardest: Duty | None


class KnownCurves:
    """What was last asked for: showing it again solves nothing."""

    def __init__(self) -> None:
        self._known: tuple[Assessment, int, Known] | None = None

    def of(self, assessment: Assessment, index: int) -> Known:
        """The curves of the gate set at `index`: those of another one solve the ducts anew, and the duties of all sets are kept."""
        from engine.search.collectors import duties, worst  # with arrays: not before they are wanted

        if self._known is None or self._known[0] is not assessment:
            found = tuple(duty for duty in duties(assessment.design) if not duty.trouble)
            self._known = (assessment, index, Known(curves(assessment.tree, assessment.sets[index]), found, worst(found)))
        elif self._known[1] != index:
            self._known = (assessment, index, replace(self._known[2], curves=curves(assessment.tree, assessment.sets[index])))
        return self._known[2]


def items(view: View, known: Known) -> list[Item]:
    """The chart, as large as there is room for, with its numbers below, and what its points are where that leaves room for it."""
    numbers, asked, cells = _numbers(view, known), _asked(view, known.hardest), table(view, known)[-1]
    if view.height - len(numbers) - len(asked) > SMALLEST[1]:
        numbers += asked
    height = min(view.height - len(numbers), max(view.width // 2, SMALLEST[1]))
    if view.width < SMALLEST[0] or height < SMALLEST[1]:
        return [Item(tuple(numbers), cells=cells)]
    return [Item((*_chart(view, known, height), *numbers), cells=cells)]


def table(view: View, known: Known) -> Table:
    """The points of both curves, what each gate set asks, and where the curves meet."""
    flow, pressure = (unit_name(dimension, view.units) for dimension in ("flow", "pressure"))
    shown = known.curves
    named = [(name, point) for name, points in (("collector", shown.supply), ("ducts", shown.demand)) for point in points]
    named += [(f"asked by {duty.gate_set}", (duty.flow, duty.pressure)) for duty in known.duties]
    named += [("meet at", shown.point)] if shown.point else []
    rows = ((name, number_text(across, "flow", view.units), number_text(up, "pressure", view.units)) for name, (across, up) in named)
    return [("curve", f"flow [{flow}]", f"total pressure [{pressure}]"), *rows]


def _numbers(view: View, known: Known) -> list[Line]:
    point = known.curves.point
    if point is None:
        return wrapped(view.result.trouble or "no open port draws air in this gate set", view.width, "dim")
    old = view.old.balance if view.old else None
    flow = figure("meet at", "flow", view.units, point[0], old.flow if old else None)
    pressure = figure("", "pressure", view.units, point[1], old.collector_pressure if old else None)[1:] + line(" total")
    return side_by_side([flow, pressure], view.width, view.glyphs, gap=2)


def _asked(view: View, hardest: Duty | None) -> list[Line]:
    """What the points stand for."""
    if hardest is None:
        return []
    flow, pressure = show(hardest.flow, "flow", view.units), show(hardest.pressure, "pressure", view.units)
    asked, most = (view.glyphs.marks[kind] for kind in ("asked", "hardest"))
    text = f"{asked} what a gate set asks; {most} hardest, {hardest.gate_set}: {flow} at {pressure}"
    return wrapped(text, view.width, "dim" if hardest.lacks <= 1.0 else "caution")


def _chart(view: View, known: Known, height: int) -> list[Line]:
    """The curves and points, axes in the units shown."""
    shown = known.curves
    top = max(pressure for pressure in (*(up for _, up in shown.supply), *(duty.pressure for duty in known.duties)))
    end = max((shown.supply[-1][0], *(duty.flow for duty in known.duties)))
    drawn = (Curve("collector", shown.supply, "supply"), Curve("ducts", shown.demand, "demand", dotted=True))
    spots = [Spot((duty.flow, duty.pressure), "asked", "dim", under=True) for duty in known.duties]
    if known.hardest:
        spots.append(Spot((known.hardest.flow, known.hardest.pressure), "hardest", "caution" if known.hardest.lacks > 1.0 else "value"))
    if shown.point:
        spots.append(Spot(shown.point, "ring", "value"))
    return plot(drawn, spots, axis_of(view, "flow", end), axis_of(view, "pressure", top), view.width, height, view.glyphs)
