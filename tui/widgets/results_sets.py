"""The results tab "sets": every gate set in a row, with its slowest run and its neediest machine."""

from __future__ import annotations

from dataclasses import replace

from engine.assess import SetResult
from engine.units import number_text, show, unit_name
from tui.widgets.lines import Line, line, spread, wrapped
from tui.widgets.results import Item, View

_COLUMN_NAMES = ("flow", "speed")


def items(view: View) -> list[Item]:
    """A heading, then a row for each gate set; Enter on a row shows that set."""
    units = tuple(unit_name(dimension, view.units) for dimension in _COLUMN_NAMES)
    figures = [_figures(view, result) for result in view.assessment.sets]
    sizes = [max(map(len, column)) for column in zip((*units, "needs"), *figures)]
    heading = spread(line(("  gate set", "dim")), line((_columns((*units, "needs"), sizes) + "   ", "dim")), view.width, view.glyphs)
    rows = zip(view.assessment.sets, figures)
    return [Item((heading,)), *(_row(view, at, result, shown, sizes) for at, (result, shown) in enumerate(rows))]


def _figures(view: View, result: SetResult) -> tuple[str, str, str]:
    """Flow, speed of the slowest run, and the share the neediest machine gets, as text."""
    if result.balance is None:
        return "-", "-", "-"
    slowest, neediest = view.assessment.slowest(result), view.assessment.neediest(result)
    return (
        number_text(result.balance.flow, "flow", view.units),
        number_text(slowest[1], "speed", view.units) if slowest else "-",
        f"{100 * neediest[1]:.0f}%" if neediest else "-",
    )


def _columns(texts: tuple[str, ...], sizes: list[int]) -> str:
    return "".join(f"  {text:>{size}}" for text, size in zip(texts, sizes))


def _row(view: View, at: int, result: SetResult, figures: tuple[str, str, str], sizes: list[int]) -> Item:
    passes = result.balance is not None and view.assessment.passes(result)
    moved = "changed" if _moved(view, result, figures) else "text"
    tail = line((_columns(figures, sizes), moved), (" ok" if passes else "  !", "ok" if passes else "fault"))
    head = line(("> " if at == view.index else "  ") + result.gate_set.name)
    return Item((spread(head, tail, view.width, view.glyphs),), at, tuple(_detail(view, result)))


def _moved(view: View, result: SetResult, figures: tuple[str, str, str]) -> bool:
    """Whether the last edit moved a figure of a gate set."""
    if view.before is None:
        return False
    old = next((known for known in view.before.sets if known.gate_set.name == result.gate_set.name), None)
    return old is not None and _figures(replace(view, assessment=view.before), old) != figures


def _detail(view: View, result: SetResult) -> list[Line]:
    """Which run and which machine the figures are of."""
    if result.balance is None:
        return wrapped(result.trouble, view.width, "fault")
    texts = [result.gate_set.name] if len(result.gate_set.name) > view.width // 3 - 2 else []
    if slowest := view.assessment.slowest(result):
        limit = show(view.assessment.limits(slowest[0]).slow, "speed", view.units)
        texts.append(f"slowest: {slowest[0]}, {show(slowest[1], 'speed', view.units)} of {limit}")
    if neediest := view.assessment.neediest(result):
        texts.append(f"neediest: {neediest[0]}, {100 * neediest[1]:.0f}% of its need")
    return [line("    ", *piece) for text in texts for piece in wrapped(text, view.width - 4, "dim")]
