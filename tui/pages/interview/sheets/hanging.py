"""Ducts that hang already, in the interview: a walk from the collector, a line a piece."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from engine.survey.answers import Answers, hung
from tui.pages.interview.rows import Row, Taken, breath, nothing, pasted
from tui.pages.interview.sheets.sheet import Sheet
from tui.work.fields.points import printable_lines
from tui.work.fields.values import BadValue

_WORDS = (
    "What hangs already? Walk from the collector outward, a line a piece. A wye stands where you are; the way goes straight on behind it. "
    "Searches leave all of it as it is."
)


def _hanging(answers: Answers) -> Sheet:
    lines, walk = answers.lines("hanging"), hung(answers)
    metric = answers.units == "metric"
    size, length = ("125", "3.1") if metric else ("5", "10")
    drop = f"wye {size} to saw: gate, 1.5, elbow down, 1.2, hose 0.6" if metric else f"wye {size} to saw: gate, 5, elbow down, 4, hose 2"
    main = "main 160" if metric else "main 6"
    about = f"In {answers.metre}, as {main}; {length}; elbow west; wye {size} to saw; {drop}; to planer. Enter on an empty line goes on."
    rows: list[Row] = []
    for i, text in enumerate((*lines, "")):
        told = walk.wrong.get(i, walk.told[i]) if i < len(lines) else about
        rows.append(breath(str(i + 1), text, told, partial(_with_line, answers, i)))
    rows += [] if lines else [nothing(answers, "hanging", "nothing hangs yet")]
    guessed = f"Guessed from where things stand: {', '.join(walk.guessed)}." if walk.guessed else ""
    return Sheet("what hangs already", _WORDS, tuple(rows), guessed, len(lines), partial(_lines, answers))


def _with_line(answers: Answers, index: int, text: str) -> Taken:
    lines = answers.lines("hanging")
    if not text.strip():
        return answers.with_lines("hanging", (*lines[:index], *lines[index + 1 :])), ""
    after = answers.with_lines("hanging", (*lines[:index], " ".join(text.split()), *lines[index + 1 :]))
    walk = hung(after)
    if index in walk.wrong:
        raise BadValue(walk.wrong[index])
    return after, walk.told[index]


def _lines(answers: Answers, text: str) -> Taken:
    return pasted(answers, printable_lines(text), lambda now, line: _with_line(now, len(now.lines("hanging")), line)[0])


SHEETS: dict[str, Callable[[Answers], Sheet]] = {"hanging": _hanging}
