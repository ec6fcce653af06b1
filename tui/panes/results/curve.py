"""The results tab "curve": what the collector supplies, what the ducts take, and the point where they meet."""

from __future__ import annotations

from engine.air.curves import Curves, curves
from engine.checks.assess import Assessment
from engine.units import number_text, unit_name
from tui.draw.charts import SMALLEST, Axis, Curve, plot
from tui.draw.lines import Line, line, side_by_side, wrapped
from tui.panes.item import Item, Table
from tui.panes.results.view import View, figure


class KnownCurves:
    """The curves of the gate set that was last asked for: showing it again solves nothing."""

    def __init__(self) -> None:
        self._known: tuple[Assessment, int, Curves] | None = None

    def of(self, assessment: Assessment, index: int) -> Curves:
        """The curves of the gate set at `index`: those of another one solve the ducts anew."""
        if self._known is None or self._known[0] is not assessment or self._known[1] != index:
            self._known = (assessment, index, curves(assessment.tree, assessment.sets[index]))
        return self._known[2]


def items(view: View, known: Curves) -> list[Item]:
    """The chart, as large as there is room for, with its numbers below."""
    numbers, cells = _numbers(view, known), table(view, known)[-1]
    height = min(view.height - len(numbers), max(view.width // 2, SMALLEST[1]))
    if view.width < SMALLEST[0] or height < SMALLEST[1]:
        return [Item(tuple(numbers), cells=cells)]
    return [Item((*_chart(view, known, height), *numbers), cells=cells)]


def table(view: View, known: Curves) -> Table:
    """The points of both curves, and where they meet."""
    flow, pressure = (unit_name(dimension, view.units) for dimension in ("flow", "pressure"))
    named = [(name, point) for name, points in (("collector", known.supply), ("ducts", known.demand)) for point in points]
    named += [("meet at", known.point)] if known.point else []
    rows = ((name, number_text(across, "flow", view.units), number_text(up, "pressure", view.units)) for name, (across, up) in named)
    return [("curve", f"flow [{flow}]", f"total pressure [{pressure}]"), *rows]


def _numbers(view: View, known: Curves) -> list[Line]:
    if known.point is None:
        return wrapped(view.result.trouble or "no open port draws air in this gate set", view.width, "dim")
    old = view.old.balance if view.old else None
    flow = figure("meet at", "flow", view.units, known.point[0], old.flow if old else None)
    pressure = figure("", "pressure", view.units, known.point[1], old.collector_pressure if old else None)[1:] + line(" total")
    return side_by_side([flow, pressure], view.width, view.glyphs, gap=2)


def _chart(view: View, known: Curves, height: int) -> list[Line]:
    """The curves, axes in the units shown."""
    top, end = max(pressure for _, pressure in known.supply), known.supply[-1][0]
    drawn = (Curve("collector", known.supply, "supply"), Curve("ducts", known.demand, "demand", dotted=True))
    return plot(drawn, known.point, _axis(view, "flow", end), _axis(view, "pressure", top), view.width, height, view.glyphs)


def _axis(view: View, dimension: str, end: float) -> Axis:
    one = end / float(number_text(end, dimension, view.units, digits=6))
    return Axis(end, number_text(end, dimension, view.units), unit_name(dimension, view.units), one)
