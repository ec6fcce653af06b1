"""What was computed of parts of a design, kept while they stay the same objects.

A part never changes: an edit makes new parts on the way to what it changes and
leaves all others the objects they were. So an answer holds for as long as it
is asked of the same objects, and nothing has to be told what an edit changed.

Answers keep the parts alive that they were computed of. Whoever goes from
design to design lets them go by and by (`age`); they grow older by themselves
where they become too many.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, wraps
from inspect import CO_VARARGS
from typing import Any, ParamSpec, TypeVar

_Asked = ParamSpec("_Asked")
_Answer = TypeVar("_Answer")
_Part = TypeVar("_Part")

# Answers that are worth their room, however few times they grow older: about whole designs and whole lists, about their gate sets, about rows.
WHOLES, SETS, ROWS = 8, 64, 2048
# What is declared to be one of these is told by its value.
_VALUES = frozenset(("str", "int", "float", "bool", "None"))
_ALL: list[Callable[[], None]] = []


def kept(most: int) -> Callable[[Callable[_Asked, _Answer]], Callable[_Asked, _Answer]]:
    """Make a function of unchanging parts remember its last answers, so many at `most` and as many that are older; it is to be called by position.

    Parts declared as texts and numbers are the same when they are equal, all
    others when they are the same object. What it raises is not kept.
    """

    def keeping(function: Callable[_Asked, _Answer]) -> Callable[_Asked, _Answer]:
        fresh: dict[tuple[Any, ...], tuple[tuple[Any, ...], _Answer]] = {}
        stale = dict(fresh)

        def answer(key: tuple[Any, ...], *parts: Any) -> tuple[tuple[Any, ...], _Answer]:
            # The parts are held with their answer: none of their ids can come to mean another object.
            row = fresh[key] = stale.pop(key, None) or (parts, function(*parts))  # type: ignore[call-arg]  # by position alone
            if len(fresh) > most:
                age()
            return row

        def age() -> None:
            stale.clear()
            stale.update(fresh)
            fresh.clear()

        _ALL.append(age)
        return wraps(function)(_asking(*_written(function))(fresh, answer))

    return keeping


def _written(function: Callable[..., Any]) -> tuple[str, str]:
    """The parts that a function is asked of, and the key that tells them, as they are written."""
    code, declared = function.__code__, function.__annotations__
    parts, key = list[str](), list[str]()
    for at, name in enumerate(code.co_varnames[: code.co_argcount + bool(code.co_flags & CO_VARARGS)]):
        by_value = _VALUES.issuperset(str(declared.get(name, "")).split(" | "))
        parts.append(f"part{at}" if at < code.co_argcount else f"*part{at}")
        key.append(parts[-1] if by_value else f"id(part{at})" if at < code.co_argcount else f"*map(id, part{at})")
    return ", ".join(parts), ", ".join([*key, ""])


@cache
def _asking(parts: str, key: str) -> Callable[..., Any]:
    """What looks among fresh answers by a key that is written out: that takes half the time of one put together each time."""
    asking: Callable[..., Any] = eval(f"lambda fresh, answer: lambda {parts}: (fresh.get(({key})) or answer(({key}), {parts}))[1]")
    return asking


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
