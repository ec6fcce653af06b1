"""What was computed of parts of a design, kept while they stay the same objects.

A part never changes: an edit makes new parts on the way to what it changes and
leaves all others the objects they were. So an answer holds for as long as it
is asked of the same objects, and nothing has to be told what an edit changed.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import wraps
from typing import Any, ParamSpec, TypeVar

_Asked = ParamSpec("_Asked")
_Answer = TypeVar("_Answer")
_Part = TypeVar("_Part")

# Answers that are worth their room: about whole designs and whole lists, about their gate sets, about the rows of lists.
WHOLES, SETS, ROWS = 8, 64, 2048
_PLAIN, _PLAIN_NAMES = frozenset((str, int, float)), re.compile(r"\b(str|int|float)\b")
_ALL: list[dict[Any, Any]] = []


def kept(most: int) -> Callable[[Callable[_Asked, _Answer]], Callable[_Asked, _Answer]]:
    """Make a function of unchanging parts remember its last answers, at `most` so many; it is to be called by position.

    Texts and numbers are the same when they are equal, everything else when it
    is the same object. What it raises is not kept.
    """

    def keeping(function: Callable[_Asked, _Answer]) -> Callable[_Asked, _Answer]:
        answers: dict[tuple[Any, ...], tuple[tuple[Any, ...], _Answer]] = {}
        _ALL.append(answers)
        plain = any(_PLAIN_NAMES.search(str(annotation)) for name, annotation in function.__annotations__.items() if name != "return")

        @wraps(function)
        def asked(*parts: _Asked.args, **_: _Asked.kwargs) -> _Answer:
            # A quicker key where nothing is declared to be told by its value.
            key = tuple([part if type(part) in _PLAIN else id(part) for part in parts]) if plain else tuple(map(id, parts))
            row = answers.get(key)
            if row is None:
                # The parts are held with their answer: none of their ids can come to mean another object.
                row = answers[key] = parts, function(*parts)  # type: ignore[call-arg]  # by position alone
                if len(answers) > most:
                    answers.pop(next(iter(answers)), None)
            return row[1]

        return asked

    return keeping


@kept(ROWS)
def same(*parts: _Part) -> tuple[_Part, ...]:
    """One tuple for the same parts."""
    return parts


def forget() -> None:
    """Forget every answer, so that what is asked next is computed anew."""
    for answers in _ALL:
        answers.clear()
