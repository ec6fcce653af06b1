"""The collector's figures in the interview, in whatever form its sheet gives them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import pairwise

from engine import edits
from engine.checks.rules import rules
from engine.design import Collector, CollectorLoss, CurvePoint, defaults
from engine.design.entries import entries
from engine.design.places import COLLECTOR
from engine.design.typed import read_figure
from engine.survey.answers import Answers
from engine.survey.breath import words_of
from engine.units import Quantity, make, show
from engine.units.words import counted
from tui.pages.interview.rows import Row, Taken, breath, pasted, radio, set_fields, typed
from tui.pages.interview.sheets.sheet import Sheet
from tui.work.fields.points import example_in, lines_of, read_point, read_points
from tui.work.fields.values import BadValue, read

# Of a collector of about 1 kW of which only the free air is known: common practice, no source.
_USUAL_SUCTION = {"metric": "2000 Pa", "imperial": "8 inH2O"}
# What the pressures of a curve may be, in plain words.
_BASES = {
    "inlet suction": "suction measured in a duct at its inlet",
    "fan static": "static pressure of the fan, as a fan's sheet says",
    "fan total": "total pressure of the fan: wants its outlet, below",
}  # fmt: skip
# The loss that a filter is, how its states are called, and lines of it.
_FILTER, _STATES = "filter", ("clean", "dirty")
_FILTERS = {"metric": "250 1500 clean 80 dirty 600", "imperial": "1 900 clean 0.3 dirty 2.5"}
# What stands for points where there are none, and lacks at their ends.
_ENDS = {"free_air": "free air", "max_suction": "max suction"}
# What a basis wants to know, by its field.
_OF_BASIS = (("inlet suction", "test_duct", "test duct"), ("fan total", "outlet", "outlet"))


def _curve(answers: Answers) -> Sheet:
    collector = answers.shop.collector
    rows = [_point(answers, i) for i in range(len(collector.curve) + 1)]
    rows += [_end(answers, name, label) for name, label in _ENDS.items() if not _is_told(collector, name)]
    rows += [_basis(answers, basis) for basis in _BASES]
    rows += [typed(answers, COLLECTOR, name, label) for basis, name, label in _OF_BASIS if _basis_of(collector) == basis or getattr(collector, name)]
    warning = ""
    if collector.free_air or collector.max_suction:
        rule, usual = rules()["free-air-only"], _USUAL_SUCTION[answers.units]
        known = f"{rule.remedy}. Source: {rule.source}." if collector.max_suction else (
            f"Where nobody tells the largest suction: {usual}, as small single-stage collectors have (common practice, no source)."
        )  # fmt: skip
        warning = f"Free air and largest suction alone: every flow is a guess. {known}"
    words = (
        f"What does its sheet say? A line a point, as {example_in(answers.units)}, or several with ; between; or free air and largest "
        "suction. Below: what the pressures are: every figure hangs on it."
    )
    return Sheet("curve of the collector", words, tuple(rows), warning, len(collector.curve), partial(pasted_points, answers))


def _point(answers: Answers, index: int) -> Row:
    """A point of the curve; with the index after the last, one to be added. Without text it goes."""
    points = answers.shop.collector.curve
    text = f"{points[index].flow.text}  {points[index].pressure.text}" if index < len(points) else ""

    def take(typed: str) -> Taken:
        rest = (*points[:index], *points[index + 1 :])
        if not typed.strip():
            return _with_points(answers, rest), ""
        if len(lines_of(typed)) > 1:
            made = read_points(typed, answers.units)
            return _with_points(answers, (*rest, *made)), counted(len(made), "point")
        new = read_point(typed, answers.units)
        shown = [show(value, what, answers.units) for value, what in ((new.flow.si, "flow"), (new.pressure.si, "pressure"))]
        return _with_points(answers, (*rest, new)), " at ".join(shown[::-1])

    about = f"A flow and a pressure, as {example_in(answers.units)}. Enter on an empty line goes on."
    return breath(f"point {index + 1}", text, about, take)


def _end(answers: Answers, name: str, label: str) -> Row:
    """Free air or largest suction: beside points it is one more of them, at no pressure or at no flow."""
    points = answers.shop.collector.curve
    known = {"free_air": "Its flow at no pressure: one more point.", "max_suction": "Its pressure at no flow: one more point."}
    row = typed(answers, COLLECTOR, name, label, about=known[name] if points else "")
    if not points or row.line is None:
        return row
    field = row.line.field

    def take(text: str) -> Taken:
        value = read(field, text, answers.units)
        if value is None:
            return answers, ""
        flow, pressure = (value, _nothing(answers, "pressure")) if name == "free_air" else (_nothing(answers, "flow"), value)
        return _with_points(answers, (*points, CurvePoint(flow=flow, pressure=pressure))), "one more point of the curve"

    return replace(row, line=replace(row.line, read=take))


def _is_told(collector: Collector, name: str) -> bool:
    """Whether the points of a curve tell free air or largest suction already."""
    points = collector.curve
    return bool(points) and (points[-1].pressure.si == 0.0 if name == "free_air" else points[0].flow.si == 0.0)


def _nothing(answers: Answers, dimension: str) -> Quantity:
    return make(0.0, dimension, answers.units)


def _with_points(answers: Answers, points: tuple[CurvePoint, ...]) -> Answers:
    """With these points in the order of their flows; free air and largest suction given before become the ends that they lack."""
    ordered = tuple(sorted((*points, *_lacking_ends(answers, points)), key=lambda point: point.flow.si))
    for before, after in pairwise(ordered):
        if before.flow.si == after.flow.si:
            raise BadValue(f"there is a point at {before.flow.text} already")
    return answers.with_shop(edits.set_field(answers.shop, COLLECTOR, "curve", ordered))


def _lacking_ends(answers: Answers, points: Sequence[CurvePoint]) -> Iterator[CurvePoint]:
    """Largest suction as the point at no flow and free air as that at no pressure, where they are known and points have no such end."""
    collector = answers.shop.collector
    if points and collector.max_suction and all(point.flow.si > 0 for point in points):
        yield CurvePoint(flow=_nothing(answers, "flow"), pressure=collector.max_suction)
    if points and collector.free_air and all(point.pressure.si > 0 and point.flow.si < collector.free_air.si for point in points):
        yield CurvePoint(flow=collector.free_air, pressure=_nothing(answers, "pressure"))


def pasted_points(answers: Answers, text: str) -> Taken:
    """The answers with every line of a text as a point of the curve, and what was left out."""
    return pasted(answers, lines_of(text), lambda now, line: _with_points(now, (*now.shop.collector.curve, read_point(line, now.units))))


def _basis(answers: Answers, basis: str) -> Row:
    pick = partial(set_fields, answers, COLLECTOR, {"basis": basis})
    chosen = radio(basis == _basis_of(answers.shop.collector))
    return Row(basis, chosen, about=f"The pressures are: {_BASES[basis]}.", pick=pick, one_of=True)


def _basis_of(collector: Collector) -> str:
    return collector.basis or defaults.BASIS


def _inlet(answers: Answers) -> Sheet:
    row = typed(answers, COLLECTOR, "inlet", "inlet", given="inlet", shown="inlet" in answers.given)
    words = "How wide is the collector's inlet, inside? Below: what its filter takes, where the curve does not hold it already."
    return Sheet("inlet of the collector", words, (row, _filter(answers)))


def _filter(answers: Answers) -> Row:
    """What the filter takes in one line: its drop and the flow of that, then where they are known those of a clean and of a dirty one."""
    units, held = answers.units, next((loss for loss in answers.shop.collector.losses if loss.name == _FILTER), None)
    parts = [held.drop.text, held.at.text, *(f"{name} {drop.text}" for name in _STATES if (drop := getattr(held, name)))] if held else []
    about = (
        f"A used filter's drop, and the flow it takes that at; then clean and dirty where its sheet tells, as {_FILTERS[units]}. "
        "Without it a loaded filter is figured like a clean one."
    )

    def take(text: str) -> Taken:
        made = (_read_filter(text, units),) if text.strip() else ()
        others = tuple(loss for loss in answers.shop.collector.losses if loss.name != _FILTER)
        told = f"{show(made[0].drop.si, 'pressure', units)} at {show(made[0].at.si, 'flow', units)}" if made else ""
        return set_fields(answers, COLLECTOR, {"losses": (*made, *others)}), told

    return breath("filter", " ".join(parts), about, take)


def _read_filter(text: str, units: str) -> CollectorLoss:
    """A filter's loss from its line. Raises BadValue."""
    table, words = entries(CollectorLoss), words_of(text)
    names, drops = words[2::2], words[3::2]
    if len(words) < 2 or len(names) != len(drops) or len(set(names)) < len(names) or not set(names) <= set(_STATES):
        raise BadValue(f"wanted its drop and the flow of that, then clean and dirty with theirs, as {_FILTERS[units]}")
    said = {"drop": words[0], "at": words[1], **dict(zip(names, drops, strict=True))}
    return CollectorLoss(name=_FILTER, **{key: read_figure(table[key], word, units) for key, word in said.items()})


SHEETS: dict[str, Callable[[Answers], Sheet]] = {"curve": _curve, "inlet": _inlet}
