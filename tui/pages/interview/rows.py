"""The rows of the interview's sheets: fields of the shop, and lines in which one thing is said in a breath."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from engine import edits
from engine.design import Design
from engine.design.entries import Entry, entries
from engine.design.places import DESIGN, Place
from engine.design.rules.consistency import mistakes
from engine.survey.answers import Answers
from engine.units import unit_name
from engine.units.words import counted
from engine.values import dataclass
from tui.work.fields.fields import Field, text_of_value
from tui.work.fields.points import MOST_LINES
from tui.work.fields.values import BadValue, changed, echo, read

Taken = tuple[Answers, str]


@dataclass(frozen=True, slots=True)
class TypedLine:
    """What is typed into a row: its field, and how a text is read.

    `read` gives the answers with a text and how that was understood, or
    raises BadValue. Enter on one that `ends` its question and is left empty
    goes on to the next one.
    """

    field: Field
    read: Callable[[str], Taken]
    ends: bool = False

    def understood(self, text: str) -> str:
        """How a text is understood; nothing to say of the one that is there. Raises BadValue."""
        return self.read(text)[1] if text != self.field.text else ""


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a sheet.

    One to type into has a `line`. A row to choose has `pick`; what is `one_of`
    several stands beside them, and choosing it goes on past them. One that
    `leads` to a question goes there; one that `asks` is for the screen to carry out. `about` says what it
    means and where it comes from; `marks` is what of the room it is about,
    for the plan to show.
    """

    label: str
    mark: str = ""
    remark: str = ""
    about: str = ""
    line: TypedLine | None = None
    pick: Callable[[], Answers] | None = None
    one_of: bool = False
    leads: str = ""
    asks: str = ""
    marks: str = ""


NEXT = Row("go on", asks="next")


def typed(
    answers: Answers, place: Place, name: str, label: str, *,
    given: str = "", offered: str = "", about: str = "", shown: bool = True, marks: str = "",
) -> Row:  # fmt: skip
    """A field of the shop to be typed; `offered` is what holds while it is empty; `given` the question it answers."""
    item = edits.at(answers.shop, place)
    entry = entries(type(item))[name]
    choices = ("yes", "no") if entry.kind == "flag" else entry.choices if entry.kind == "choice" else ()
    text = text_of_value(getattr(item, name)) if shown else ""
    field = Field(place, name, label, entry, text, offered or entry.shown_default, choices)

    def taken(typed: str) -> Taken:
        value = read(field, typed, answers.units)
        after = answers.with_shop(sound(answers.shop, changed(answers.shop, field, value)[0]))
        told = echo(field, value, typed, answers.units) if value is not None else ""
        lost = len(answers.shop.collector.curve) - len(after.shop.collector.curve)
        told += f", in place of {counted(lost, 'point')} of a curve" if lost > 0 else ""
        return after.with_given(given) if given else after, told

    meaning = entry.meaning[:1].upper() + entry.meaning[1:] + (f": {', '.join(choices)}" if choices else "") + "."
    empty = f" Empty: {field.default}." if field.default and not entry.required else ""
    return Row(label, about=(about or meaning) + _example(entry, answers.units) + empty, line=TypedLine(field, taken), marks=marks)


# Figures as they may be typed, by dimension, in metric and in imperial units: ordinary ones.
_EXAMPLES = {"length": ("2.4", "8"), "bore": ("125", "5"), "flow": ("820", "400"), "pressure": ("2000", "8")}


def _example(entry: Entry, units: str) -> str:
    """The unit that a plain number is in, and such a number; nothing of what is no figure."""
    if entry.dimension not in _EXAMPLES:
        return ""
    return f" In {unit_name(entry.dimension, units)}, as {_EXAMPLES[entry.dimension][units != 'metric']}."


def sound(before: Design, after: Design) -> Design:
    """`after`, unless there is a mistake in it that was not there before; a collector may be incomplete while it is being answered for."""
    known = {str(mistake) for mistake in mistakes(before)}
    for mistake in mistakes(after):
        if mistake.path[0] != "collector" and str(mistake) not in known:
            raise BadValue(f"{mistake.found}; wanted: {mistake.wanted}")
    return after


def breath(
    label: str, text: str, about: str, take: Callable[[str], Taken], *, offered: str = "", ends: bool = False, marks: str = "",
) -> Row:  # fmt: skip
    """A row in which one thing is said in a breath; `offered` is what holds while it is empty."""
    field = Field(DESIGN, label, label, Entry("line", "text", about), text, offered)
    return Row(label, about=about, line=TypedLine(field, take, ends and not text), marks=marks)


def set_fields(answers: Answers, place: Place, values: dict[str, Any]) -> Answers:
    """The answers with values in fields of one thing. Raises BadValue where they break a rule."""
    return answers.with_shop(sound(answers.shop, edits.set_fields(answers.shop, place, values)))


def nothing(answers: Answers, question: str, label: str) -> Row:
    """The row that answers a question with nothing of the kind."""
    about = "Enter here answers so; Page Down does too."
    return Row(label, radio(question in answers.given), about=about, pick=lambda: answers.with_given(question), one_of=True)


def pasted(answers: Answers, lines: Sequence[str], take: Callable[[Answers, str], Answers]) -> Taken:
    """The answers with every line taken, and what was left out of them and why."""
    left_out: list[str] = []
    for number, said in enumerate(lines, 1):
        if number > MOST_LINES:
            left_out.append(f"all after line {MOST_LINES} left out")
            break
        if said.strip():
            try:
                answers = take(answers, said)
            except BadValue as reason:
                left_out.append(f"line {number} left out: {reason}")
    return answers, left_out[0] + (f" (and {len(left_out) - 1} more)" if len(left_out) > 1 else "") if left_out else ""


def radio(chosen: bool) -> str:
    """The mark of one of several."""
    return "(x)" if chosen else "( )"


def box(on: bool) -> str:
    """The mark of what is in or out."""
    return "[x]" if on else "[ ]"
