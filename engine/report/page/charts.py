"""Curves, profiles and bars as drawings."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from math import ceil, log10

from engine.parts.cutting import CutStick
from engine.report.page import svg
from engine.report.page.svg import Box, Name, Spot
from engine.values import dataclass

_WIDTH, TALL, LOW = 700.0, 340.0, 220.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 60.0, 14.0, 22.0, 40.0
_MOST_TICKS = 7
_DOT = 3.0
# The least that an axis spans, and what is nothing beside a step.
_LEAST = _ROUNDING = 1e-9
_LETTER_TOP = 12.0
_BAR, _BAR_GAP, _BAR_LEFT = 18.0, 8.0, 34.0
_Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Line:
    """Points in the units shown; a `thick` one is the first to look at. `marks` are names at spots of it."""

    points: Sequence[Spot]
    class_: str = "thin"
    marks: Sequence[tuple[str, Spot]] = ()


def chart(title: str, across: str, up: str, lines: Sequence[Line], height: float = TALL) -> str:
    """Lines over two axes that begin at nought, or below it where points lie there; `across` and `up` name them with their units."""
    points = [point for line in lines for point in line.points]
    low = min(min((y for _, y in points), default=0.0), 0.0)
    high = _span(max((x for x, _ in points), default=1.0), 0.0), _span(max((y for _, y in points), default=1.0), low)

    def at(point: Spot) -> Spot:
        wide, tall = _WIDTH - _LEFT - _RIGHT, height - _TOP - _BOTTOM
        return _LEFT + wide * point[0] / high[0][0], height - _BOTTOM - tall * (point[1] - low) / (high[1][0] - low)

    drawn = [[at(point) for point in line.points] for line in lines]
    marks = [Name(text, (at(spot),)) for line in lines for text, spot in line.marks]
    dots = [svg.tag("circle", cx=x, cy=y, r=_DOT, class_="dot") for line in lines for x, y in (at(spot) for _, spot in line.marks)]
    return svg.drawing(
        _WIDTH, height, title,
        *_axes(at, high, low), svg.words(up, (4.0, _LETTER_TOP)), svg.words(across, (_WIDTH - _RIGHT, height - 6.0), text_anchor="end"),
        *(svg.line(points, class_=line.class_) for line, points in zip(lines, drawn, strict=True)), *dots,
        *svg.names(marks, drawn, Box(_LEFT + 2.0, 0.0, _WIDTH, height - _BOTTOM)),
    )  # fmt: skip


def _axes(at: Callable[[Spot], Spot], high: tuple[_Span, _Span], low: float) -> Iterator[str]:
    yield svg.line((at((0.0, high[1][0])), at((0.0, low)), at((high[0][0], low))), class_="axis")
    for value in _ticks(*high[0], 0.0):
        x, y = at((value, low))
        yield svg.line(((x, y), (x, y + 4.0)), class_="axis")
        yield svg.words(f"{value:g}", (x, y + 16.0), text_anchor="middle")
    for value in _ticks(*high[1], low):
        x, y = at((0.0, value))
        yield svg.line(((x - 4.0, y), (_WIDTH - _RIGHT, y)), class_="grid")
        yield svg.words(f"{value:g}", (x - 6.0, y + 4.0), text_anchor="end")


def _span(most: float, low: float) -> _Span:
    """(end, step) of an axis from `low`, at most 0, that holds up to `most`: steps of 1, 2 or 5 of some power of ten."""
    room = max(most - low, _LEAST)
    power = 10.0 ** ceil(log10(room / _MOST_TICKS) - 1)
    step = next(step * power for step in (1, 2, 5, 10, 20) if step * power * _MOST_TICKS >= room)
    return max(ceil(most / step - _ROUNDING), 1) * step, step


def _ticks(end: float, step: float, low: float) -> Iterator[float]:
    for number in range(ceil(low / step), round(end / step) + 1):
        yield round(number * step, 9)


def bars(title: str, sticks: Sequence[tuple[str, CutStick, Sequence[str]]]) -> str:
    """Sticks to one scale: what each is called, its cuts as boxes with their texts in order, and what is left of it dotted."""
    longest = max((one.stick.length for _, one, _ in sticks), default=1.0)
    scale = (_WIDTH - _BAR_LEFT - 2.0) / longest
    inside = []
    for row, (called, one, texts) in enumerate(sticks):
        top = row * (_BAR + _BAR_GAP) + 2.0
        inside.append(svg.words(called, (_BAR_LEFT - 5.0, top + _BAR * 0.72), text_anchor="end"))
        inside.append(_box(0.0, one.stick.length, top, scale, "left"))
        begins = 0.0
        for cut, text in zip(one.cuts, texts, strict=True):
            inside.append(_box(begins, cut.length, top, scale, "cut"))
            if len(text) * svg.LETTER * 0.56 < cut.length * scale:
                middle = _BAR_LEFT + (begins + cut.length / 2) * scale
                inside.append(svg.words(text, (middle, top + _BAR * 0.72), text_anchor="middle"))
            begins += cut.length
    return svg.drawing(_WIDTH, len(sticks) * (_BAR + _BAR_GAP) + 2.0, title, *inside)


def _box(begins: float, length: float, top: float, scale: float, class_: str) -> str:
    return svg.tag("rect", x=_BAR_LEFT + begins * scale, y=top, width=length * scale, height=_BAR, class_=class_)
