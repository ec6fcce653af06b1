"""What the session can ask its user: a key, a line of text, a row of a list. Who asks says what follows from the answer."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from engine.values import dataclass

YES_NO = (("y", "yes"), ("n", "no"))


@dataclass(frozen=True, slots=True)
class Question:
    """A question that one key answers. Esc leaves it unanswered; while it stands no other key does anything."""

    text: str
    answered: Callable[[str], object]
    choices: tuple[tuple[str, str], ...] = YES_NO
    dismissed: Callable[[], object] | None = None


@dataclass(frozen=True, slots=True)
class Prompt:
    """A question that one line of text answers.

    `check` says why a text will not do, or None; the text then stays to be
    mended. `typed` is told of every change.
    """

    text: str
    value: str
    answered: Callable[[str], object]
    check: Callable[[str], str | None] | None = None
    typed: Callable[[str], object] | None = None
    dismissed: Callable[[], object] | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """A row to choose: what it is, a remark in dim beside it, and what choosing it hands over.

    `about` is shown below the list while the row is highlighted. Rows of one
    `group` stand together under its name. `also` are words it is found by, not shown.
    """

    text: str
    value: Any
    remark: str = ""
    about: str = ""
    group: str = ""
    also: str = ""
