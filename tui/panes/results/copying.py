"""The results tabs as tables to copy: rows of cells, the heads of the columns first, numbers in the units shown."""

from __future__ import annotations

from engine.air.balance import way
from engine.units import number_text, show, unit_name
from tui.panes.results import now as now_tab
from tui.panes.results import sets as sets_tab
from tui.panes.results import where as where_tab
from tui.panes.results.curve import Curves
from tui.panes.results.view import View

Table = list[tuple[str, ...]]


def now(view: View) -> Table:
    """The figures of what is selected, then the findings in the order shown."""
    found = [(finding.severity, f"{finding.where}: {finding.message}") for finding in now_tab.ordered(view)]
    return [(f"{now_tab.subject(view)} in {view.result.gate_set.name}", ""), *_figures(view), *found]


def figures(view: View) -> tuple[str, ...]:
    """The figures of what is selected, as one row."""
    return tuple(f"{label} {value}" for label, value in _figures(view))


def _figures(view: View) -> Table:
    balance, units = view.result.balance, view.units
    if balance is None:
        return [("no answer", view.result.trouble)]
    if view.run is None:
        return [("flow", show(balance.flow, "flow", units)), ("suction", show(balance.collector_pressure, "pressure", units))]
    state = balance.runs[view.run.id]
    return [
        ("speed", show(state.velocity, "speed", units)), ("flow", show(state.flow, "flow", units)),
        ("suction near", show(state.suction_near, "pressure", units)), ("suction far", show(state.suction_far, "pressure", units)),
    ]  # fmt: skip


def sets(view: View) -> Table:
    """Every gate set."""
    flow, speed = (unit_name(dimension, view.units) for dimension in ("flow", "speed"))
    head = ("gate set", f"flow [{flow}]", "slowest run", f"speed [{speed}]", "neediest port", "share of its need", "verdict")
    return [head, *(_set(view, result) for result in view.assessment.sets)]


def _set(view: View, result) -> tuple[str, ...]:
    figures_shown = sets_tab.figures(view, result)
    slowest, neediest = view.assessment.slowest(result), view.assessment.neediest(result)
    verdict = sets_tab.verdict_on(view, result)[1]
    names = (slowest[0] if slowest else "", neediest[0] if neediest else "")
    return result.gate_set.name, figures_shown[0], names[0], figures_shown[1], names[1], figures_shown[2], verdict


def where(view: View) -> Table:
    """What the air meets on its way from the port shown, largest first."""
    port, unit = where_tab.port_shown(view), unit_name("pressure", view.units)
    if port is None:
        return []
    losses = where_tab.gathered(way(view.assessment.tree, view.result.balance, port))
    rows = ((run, where_tab.label_of_part(view, run, part), number_text(drop, "pressure", view.units)) for run, part, drop in losses)
    return [("run", f"part on the way from {port}", f"loss [{unit}]"), *rows]


def curve(view: View, known: Curves) -> Table:
    """The points of both curves, and where they meet."""
    flow, pressure = (unit_name(dimension, view.units) for dimension in ("flow", "pressure"))

    def row(name: str, point: tuple[float, float]) -> tuple[str, ...]:
        return name, number_text(point[0], "flow", view.units), number_text(point[1], "pressure", view.units)

    points = [row(name, point) for name, curve in (("collector", known.supply), ("ducts", known.demand)) for point in curve]
    return [("curve", f"flow [{flow}]", f"pressure [{pressure}]"), *points, *([row("meet at", known.point)] if known.point else [])]
