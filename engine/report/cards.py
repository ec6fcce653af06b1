"""Quick cards as text, their figures in metric and imperial units side by side, and as JSON in SI base units."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from engine.field.cards import BETWEEN, Answer, Blank, Card, Figure
from engine.report.pen import cell, json_text, wrapped
from engine.units import show
from engine.units.words import counted

_NAME, _VALUE = 22, 18
_FINE = 3  # decimals of an imperial pressure: velocity pressures are small


def figure_text(figure: Figure, units: str) -> str:
    """The value of a figure in "metric" or "imperial" units."""
    if not figure.dimension:
        return f"{figure.value:.3g}"
    fine = _FINE if figure.dimension == "pressure" and units == "imperial" else None
    return show(figure.value, figure.dimension, units, digits=fine)


def as_text(card: Card, found: Answer) -> str:
    """The answer of a card."""
    lines = [*wrapped(f"{card.name}: {card.title}"), ""]
    for figure in found.figures:
        values = dict.fromkeys(figure_text(figure, units) for units in ("metric", "imperial"))
        lines.append(f"  {cell(figure.name, _NAME)}{''.join(f'{value:<{_VALUE}}' for value in values)}".rstrip())
    notes = (*found.remarks, f"by: {card.source}")
    return "\n".join([*lines, "", *(line for note in notes for line in wrapped(f"- {note}"))])


def as_json(card: Card, found: Answer) -> str:
    """The answer of a card as JSON text."""
    figures = {figure.name: figure.value for figure in found.figures}
    return json_text(None, card=card.name, figures=figures, remarks=list(found.remarks), source=card.source)


def listing(cards: Iterable[Card]) -> str:
    """Every card with its blanks."""
    lines = [*wrapped("kerfdraft convert CARD NAME=VALUE ..., such as: kerfdraft convert duct flow='400 cfm' bore='5 in'"), ""]
    for card in cards:
        lines += [*wrapped(f"{card.name}: {card.title}"), *(line for blank in card.blanks for line in _blank(blank))]
    return "\n".join([*lines, "", *wrapped(f"Several values in a blank go with {BETWEEN} between them; the last unit holds for those without one.")])


def _blank(blank: Blank) -> Iterator[str]:
    usual = f"; usually {blank.usual}" if blank.usual else ""
    most = f"; up to {counted(blank.most, 'value')}" if blank.most > 1 else ""
    yield from wrapped(f"  {cell(blank.name, 13)}{blank.words}{most}{usual}")
