"""What was computed of parts of a design, kept while they stay the same objects.

A part never changes: an edit makes new parts on the way to what it changes and
leaves all others the objects they were. So an answer holds for as long as it
is asked of the same objects, and nothing has to be told what an edit changed.

Answers keep the parts alive that they were computed of. Whoever goes from
design to design lets them go by and by (`age`); they grow older by themselves
where they become too many.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import wraps
from typing import Any, ParamSpec, TypeVar

_Asked = ParamSpec("_Asked")
_Answer = TypeVar("_Answer")
_Part = TypeVar("_Part")

# Answers that are worth their room, however few times they grow older: about whole designs and whole lists, about their gate sets, about rows.
WHOLES, SETS, ROWS = 8, 64, 2048
_PLAIN, _PLAIN_NAMES = frozenset((str, int, float)), re.compile(r"\b(str|int|float)\b")
_ALL: list[Callable[[], None]] = []


def kept(most: int) -> Callable[[Callable[_Asked, _Answer]], Callable[_Asked, _Answer]]:
    """Make a function of unchanging parts remember its last answers, so many at `most` and as many that are older; it is to be called by position.

    Texts and numbers are the same when they are equal, everything else when it
    is the same object. What it raises is not kept.
    """

    def keeping(function: Callable[_Asked, _Answer]) -> Callable[_Asked, _Answer]:
        fresh: dict[tuple[Any, ...], tuple[tuple[Any, ...], _Answer]] = {}
        stale = dict(fresh)
        plain = any(_PLAIN_NAMES.search(str(annotation)) for name, annotation in function.__annotations__.items() if name != "return")

        @wraps(function)
        def asked(*parts: _Asked.args, **_: _Asked.kwargs) -> _Answer:
            # A quicker key where nothing is declared to be told by its value.
            key = tuple([part if type(part) in _PLAIN else id(part) for part in parts]) if plain else tuple(map(id, parts))
            row = fresh.get(key)
            if row is None:
                # The parts are held with their answer: none of their ids can come to mean another object.
                row = fresh[key] = stale.pop(key, None) or (parts, function(*parts))  # type: ignore[call-arg]  # by position alone
                if len(fresh) > most:
                    age()
            return row[1]

        def age() -> None:
            nonlocal fresh, stale
            fresh, stale = {}, fresh

        _ALL.append(age)
        return asked

    return keeping


@kept(ROWS)
def same(*parts: _Part) -> tuple[_Part, ...]:
    """One tuple for the same parts."""
    return parts


def age() -> None:
    """Every answer is a time older; one that nobody asked for since the time before is forgotten."""
    for answers_age in _ALL:
        answers_age()


def forget() -> None:
    """Forget every answer, so that what is asked next is computed anew."""
    age()
    age()
