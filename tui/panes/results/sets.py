"""The results tab "sets": every gate set in a row, with its slowest run and its neediest machine."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from engine.air.band import share_band
from engine.air.gate_sets import SetResult
from engine.units import number_text, show, unit_name
from engine.units.ranges import span_text
from engine.units.words import percent
from tui.draw.lines import Line, cut_apart, line, spread, width_of, wrapped
from tui.panes.item import Cells, Item, Table
from tui.panes.results.view import View
from tui.work.edits.marks import MARKS, verdict_of

_COLUMN_NAMES = ("flow", "speed")
_ROOMY, _TIGHT = 60, 34


def items(view: View) -> list[Item]:
    """A heading, then a row for each gate set; Enter on a row shows that set."""
    units = tuple(unit_name(dimension, view.units) for dimension in _COLUMN_NAMES)
    shown = [figures(view, result) for result in view.assessment.sets]
    sizes = [max(map(len, column)) for column in zip((*units, "100%"), *shown, strict=True)]
    room = " " * (_band_cells(view) + 3)
    heading = spread(line(("  gate set", "dim")), line((_columns(view, (*units, "need"), sizes) + room, "dim")), view.width, view.glyphs)
    rows = zip(view.assessment.sets, shown, strict=True)
    return [Item((heading,), cells=_cells(view, view.result)), *(_row(view, at, result, texts, sizes) for at, (result, texts) in enumerate(rows))]


def table(view: View) -> Table:
    """Every gate set."""
    flow, speed = (unit_name(dimension, view.units) for dimension in _COLUMN_NAMES)
    head = ("gate set", f"flow [{flow}]", "slowest run", f"speed [{speed}]", "neediest port", "share of its need", "verdict")
    return [head, *(_cells(view, result) for result in view.assessment.sets)]


def _cells(view: View, result: SetResult) -> Cells:
    flow, speed, share = figures(view, result)
    slowest, neediest = view.assessment.slowest(result), view.assessment.neediest(result)
    names = (slowest[0] if slowest else "", neediest[0] if neediest else "")
    return result.gate_set.name, flow, names[0], speed, names[1], share, verdict_of(view.assessment, result)


def _band_cells(view: View) -> int:
    """Room for "+12-10" behind a share, kept while that is not known so that nothing moves when it is."""
    return 0 if view.width < _TIGHT else 6


def figures(view: View, result: SetResult) -> tuple[str, str, str]:
    """Flow, speed of the slowest run, and the share the neediest machine gets, as text."""
    if result.balance is None:
        return "-", "-", "-"
    slowest, neediest = view.assessment.slowest(result), view.assessment.neediest(result)
    return (
        number_text(result.balance.flow, "flow", view.units),
        number_text(slowest[1], "speed", view.units) if slowest else "-",
        f"{percent(neediest[1])}%" if neediest else "-",
    )


def _columns(view: View, texts: tuple[str, ...], sizes: list[int]) -> str:
    """The columns, without the speed where names would get no room: the row under the cursor tells it in full."""
    gap = "  " if view.width >= _ROOMY else " "
    cells = [f"{gap}{text:>{size}}" for text, size in zip(texts, sizes, strict=True)]
    return "".join(cells if view.width >= _TIGHT else (cells[0], *cells[2:]))


def _row(view: View, at: int, result: SetResult, shown: tuple[str, str, str], sizes: list[int]) -> Item:
    found = verdict_of(view.assessment, result)
    moved = "changed" if _moved(view, result, shown) else "text"
    band = f"{_share_band(view, at, result):<{_band_cells(view)}}"
    tail = line((_columns(view, shown, sizes), moved), (band, "dim"), (f"{MARKS[found]:>3}", found))
    names = (known.gate_set.name for known in view.assessment.sets)
    name = cut_apart(result.gate_set.name, names, view.width - width_of(tail) - 2, view.glyphs)
    head = line(("> " if at == view.index else "  ") + name)
    return Item((spread(head, tail, view.width, view.glyphs),), at, partial(_detail, view, at, result), _cells(view, result))


def _share_band(view: View, at: int, result: SetResult) -> str:
    """ "+3-2" per cent of its need around the share of the neediest machine; "" while it is not known."""
    neediest = view.assessment.neediest(result)
    if neediest is None or result.balance is None or not _band_cells(view):
        return ""
    band, port = view.bands.get(at, {}).get(neediest[0]), result.balance.ports[neediest[0]]
    if band is None:
        return ""
    up, down = share_band(band, port.flow, view.assessment.tree.ports[neediest[0]].needs)
    return f"+{100 * up:.0f}-{100 * down:.0f}"


def _moved(view: View, result: SetResult, shown: tuple[str, str, str]) -> bool:
    """Whether the last edit moved a figure of a gate set."""
    if view.before is None:
        return False
    old = next((known for known in view.before.sets if known.gate_set.name == result.gate_set.name), None)
    return old is not None and figures(replace(view, assessment=view.before), old) != shown


def _detail(view: View, at: int, result: SetResult) -> list[Line]:
    """Which run and which machine the figures are of."""
    if result.balance is None:
        return wrapped(result.trouble, view.width, "fault")
    texts = [result.gate_set.name] if len(result.gate_set.name) > view.width // 3 - 2 else []
    if slowest := view.assessment.slowest(result):
        limit = show(view.assessment.limits(slowest[0]).slow.value, "speed", view.units)
        texts.append(f"slowest: {slowest[0]}, {number_text(slowest[1], 'speed', view.units)}, wants {limit} or more")
    if neediest := view.assessment.neediest(result):
        port = result.balance.ports[neediest[0]]
        flow = number_text(port.flow, "flow", view.units) + view.band(at, neediest[0])
        span = span_text(view.assessment.tree.ports[neediest[0]].needs, "flow", view.units)
        texts.append(f"{neediest[0]} gets {flow}, needs {show(port.needs, 'flow', view.units)}{span}")
    return [line("    ", *piece) for text in texts for piece in wrapped(text, view.width - 4, "dim")]
