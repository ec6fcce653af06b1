"""The rows of the interview's sheets: fields of the shop, and lines that stand for a point of the curve or a set of machines."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise

from engine import edits
from engine.design import CurvePoint, Design, GateSet
from engine.design.consistency import mistakes
from engine.design.entries import Entry, entries
from engine.design.names import LONGEST_NAME
from engine.design.places import COLLECTOR, DESIGN, Place
from engine.units import parse, show
from engine.units.words import counted
from tui.pages.interview import questions
from tui.pages.interview.questions import Answers
from tui.work.fields.fields import Field, text_of_value
from tui.work.fields.points import MOST_LINES, example_in, lines_of, printable_lines, read_point, read_points
from tui.work.fields.values import BadValue, changed, echo, read

_BETWEEN_NAMES = re.compile(r"\s*[+,;&\t|]\s*")


@dataclass(frozen=True, slots=True)
class TypedLine:
    """What is typed into a row: its field, and how a text is read.

    `read` gives the answers with a text and how that was understood, or
    raises BadValue. Left empty, one that `ends` its question ends it.
    """

    field: Field
    read: Callable[[str], tuple[Answers, str]]
    ends: bool = False

    def understood(self, text: str) -> str:
        """How a text is understood; nothing to say of the one that is there. Raises BadValue."""
        return self.read(text)[1] if text != self.field.text else ""


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a sheet.

    One to type into has a `line`. A row to choose has `pick`; then the
    interview goes on where `onward`. One that `leads` to a question goes
    there; one that `asks` is for the screen to carry out. `about` says what it
    means and where it comes from.
    """

    label: str
    mark: str = ""
    remark: str = ""
    about: str = ""
    line: TypedLine | None = None
    pick: Callable[[], Answers] | None = None
    onward: bool = False
    leads: str = ""
    asks: str = ""


def typed(answers: Answers, place: Place, name: str, label: str, *, given: str = "", offered: str = "", about: str = "", shown: bool = True) -> Row:
    """A field of the shop to be typed; `offered` is what holds while it is empty; `given` the question it answers."""
    item = edits.at(answers.shop, place)
    entry = entries(type(item))[name]
    choices = entry.choices if entry.kind == "choice" else ()
    text = text_of_value(getattr(item, name)) if shown else ""
    field = Field(place, name, label, entry, text, offered or entry.shown_default, choices)

    def taken(typed: str) -> tuple[Answers, str]:
        value = read(field, typed, answers.units)
        after = answers.with_shop(_sound(answers.shop, changed(answers.shop, field, value)[0]))
        told = echo(field, value, typed, answers.units) if value is not None else ""
        lost = len(answers.shop.collector.curve) - len(after.shop.collector.curve)
        told += f", in place of {counted(lost, 'point')} of a curve" if lost > 0 else ""
        return after.with_given(given) if given else after, told

    meaning = entry.meaning[:1].upper() + entry.meaning[1:] + (f": {', '.join(choices)}" if choices else "") + "."
    return Row(label, about=about or meaning, line=TypedLine(field, taken))


def _sound(before: Design, after: Design) -> Design:
    """`after`, unless names in it clash; a collector may be incomplete while it is being answered for."""
    known = {str(mistake) for mistake in mistakes(before)}
    for mistake in mistakes(after):
        if mistake.path[0] != "collector" and str(mistake) not in known:
            raise BadValue(f"{mistake.found}; wanted: {mistake.wanted}")
    return after


# ---- lines: points of the curve, sets of machines


def _line(label: str, text: str, about: str, take: Callable[[str], tuple[Answers, str]], ends: bool) -> Row:
    field = Field(DESIGN, label, label, Entry("line", "text", about), text)
    return Row(label, about=about, line=TypedLine(field, take, ends and not text))


def point(answers: Answers, index: int) -> Row:
    """A point of the curve; with the index after the last, one to be added. Without text it goes."""
    points = answers.shop.collector.curve
    text = f"{points[index].flow.text}  {points[index].pressure.text}" if index < len(points) else ""

    def take(typed: str) -> tuple[Answers, str]:
        rest = (*points[:index], *points[index + 1 :])
        if not typed.strip():
            return _with_points(answers, rest), ""
        if len(lines_of(typed)) > 1:
            made = read_points(typed, answers.units)
            return _with_points(answers, (*rest, *made)), counted(len(made), "point")
        new = read_point(typed, answers.units)
        shown = [show(value, what, answers.units) for value, what in ((new.flow.si, "flow"), (new.pressure.si, "pressure"))]
        return _with_points(answers, (*rest, new)), " at ".join(shown[::-1])

    return _line(f"point {index + 1}", text, f"A flow and a pressure, as {example(answers)}. Enter on an empty line goes on.", take, len(points) > 1)


def _with_points(answers: Answers, points: tuple[CurvePoint, ...]) -> Answers:
    """With these points in the order of their flows; free air and largest suction given before become the ends that they lack."""
    ordered = tuple(sorted((*points, *_lacking_ends(answers, points)), key=lambda point: point.flow.si))
    for before, after in pairwise(ordered):
        if before.flow.si == after.flow.si:
            raise BadValue(f"there is a point at {before.flow.text} already")
    return answers.with_shop(edits.set_field(answers.shop, COLLECTOR, "curve", ordered))


def _lacking_ends(answers: Answers, points: Sequence[CurvePoint]) -> Iterator[CurvePoint]:
    """Largest suction as the point at no flow and free air as that at no pressure, where they are known and points have no such end."""
    collector, none = answers.shop.collector, "0 m3/h" if answers.units == "metric" else "0 cfm"
    if points and collector.max_suction and all(point.flow.si > 0 for point in points):
        yield CurvePoint(flow=parse(none, "flow"), pressure=collector.max_suction)
    if points and collector.free_air and all(point.pressure.si > 0 and point.flow.si < collector.free_air.si for point in points):
        yield CurvePoint(flow=collector.free_air, pressure=parse("0 Pa" if answers.units == "metric" else "0 inH2O", "pressure"))


def machine_set(answers: Answers, index: int) -> Row:
    """Machines that work together, to be typed and to go as a point does."""
    sets = answers.shop.gate_sets
    text = sets[index].name if index < len(sets) else ""
    about = "Machines that work at once. Enter on an empty line goes on."
    return _line(f"set {index + 1}", text, about, partial(_with_set, answers, index), True)


def _with_set(answers: Answers, index: int, typed: str) -> tuple[Answers, str]:
    """With a set at an index; one after the last is added, without text it goes."""
    sets = answers.shop.gate_sets
    before, after = sets[:index], sets[index + 1 :]
    if not typed.strip():
        return _with_sets(answers, (*before, *after)), ""
    made = parse_set(typed, answers)
    if any(set(made.open) == set(other.open) for other in (*before, *after)):
        raise BadValue("these machines are in a line of their own already")
    if index == len(sets) and questions.room_for_sets(answers) < 1:
        raise BadValue("there are as many sets as there may be")
    return _with_sets(answers, (*before, made, *after)), made.name


def _with_sets(answers: Answers, sets: tuple[GateSet, ...]) -> Answers:
    return answers.with_shop(replace(answers.shop, gate_sets=sets))


def parse_set(text: str, answers: Answers) -> GateSet:
    """Machines that work at once from "saw + planer" or "1 + 3". Raises BadValue."""
    names = tuple(machine.id for machine in answers.shop.machines)
    field = Field(DESIGN, "open", "machine", Entry("machine", "choice", "a machine", required=True), "", choices=names)
    found: list[str] = []
    for part in filter(None, _BETWEEN_NAMES.split(text.strip())):
        numbered = part.isascii() and part.isdigit() and len(part) < 4 and part not in names and 0 < int(part) <= len(names)
        name = names[int(part) - 1] if numbered else read(field, part, answers.units)
        if name in found:
            raise BadValue(f"{name} is named twice")
        found.append(name)
    if not found:
        raise BadValue("wanted the names of machines")
    return GateSet(name=" + ".join(found)[:LONGEST_NAME], open=tuple(found))


def pasted_points(answers: Answers, text: str) -> tuple[Answers, str]:
    """The answers with every line of a text as a point of the curve, and what was left out."""
    return _pasted(answers, lines_of(text), lambda now, line: _with_points(now, (*now.shop.collector.curve, read_point(line, now.units))))


def pasted_sets(answers: Answers, text: str) -> tuple[Answers, str]:
    """The answers with every line of a text as a set of machines, and what was left out."""
    return _pasted(answers, printable_lines(text), lambda now, line: _with_set(now, len(now.shop.gate_sets), line)[0])


def _pasted(answers: Answers, lines: Sequence[str], take: Callable[[Answers, str], Answers]) -> tuple[Answers, str]:
    left_out: list[str] = []
    for number, typed in enumerate(lines, 1):
        if number > MOST_LINES:
            left_out.append(f"all after line {MOST_LINES} left out")
            break
        if typed.strip():
            try:
                answers = take(answers, typed)
            except BadValue as reason:
                left_out.append(f"line {number} left out: {reason}")
    return answers, left_out[0] + (f" (and {len(left_out) - 1} more)" if len(left_out) > 1 else "") if left_out else ""


# ---- in words


def example(answers: Answers) -> str:
    """A point of a curve as it may be typed."""
    return example_in(answers.units)
