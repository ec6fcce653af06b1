"""Other collectors that could be bought, in the interview: a line each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from engine.survey.answers import Answers
from tui.pages.interview.rows import Row, Taken, breath, nothing, pasted, sound
from tui.pages.interview.sheets.sheet import Sheet
from tui.work.fields.choice_lines import choice_text, example_of_choice, with_choice
from tui.work.fields.points import printable_lines

_WORDS = (
    "Which other collectors could you buy? Each over every gate set stands beside yours on page Q, once there are ducts. "
    "A name, a colon, points of its curve; then what else its sheet tells."
)


def _choices(answers: Answers) -> Sheet:
    known = answers.shop.collector_choices
    rows: list[Row] = []
    for i in range(len(known) + 1):
        text = choice_text(known[i]) if i < len(known) else ""
        about = (
            f"As {example_of_choice(answers.units)}. Instead of points free air and max suction; also fan static or fan total, test duct, "
            "density, filter area. Enter on an empty line goes on."
        )
        rows.append(breath(f"{i + 1}", text, about, partial(_with_choice, answers, i)))
    rows += [] if known else [nothing(answers, "choices", "no other")]
    return Sheet("collectors to choose from", _WORDS, tuple(rows), start=len(known), paste=partial(_pasted, answers))


def _with_choice(answers: Answers, index: int, text: str) -> Taken:
    """With a collector at an index; one after the last is added, without text it goes."""
    known = answers.shop.collector_choices
    if not text.strip():
        return answers.with_shop(replace(answers.shop, collector_choices=(*known[:index], *known[index + 1 :]))), ""
    after = sound(answers.shop, with_choice(answers.shop, index, text))
    return answers.with_shop(after), choice_text(after.collector_choices[index])


def _pasted(answers: Answers, text: str) -> Taken:
    return pasted(answers, printable_lines(text), lambda now, line: _with_choice(now, len(now.shop.collector_choices), line)[0])


SHEETS: dict[str, Callable[[Answers], Sheet]] = {"choices": _choices}
