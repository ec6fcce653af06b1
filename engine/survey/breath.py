"""Several figures said in one breath: "2.4, 3.1" a place, "7 x 4" a floor, "saw 2.4, 3.1 350-450 cfm" a machine.

Between two figures stands a comma with a space, a semicolon or a space; "x"
or "by" where they are sizes, "-" or "to" where they are a range. A comma
without a space is a decimal sign beside another such, as in "2,4 3,1", and
stands between two figures where it is alone, as in "2.4,3.1".
"""

from __future__ import annotations

import re

from engine.design.typed import BadValue
from engine.units.spellings import unit_of

LONGEST = 1000
_APART = re.compile(r"\s*[;|\t]\s*|\s*,\s+")
_FIGURE = re.compile(r"[+-]?[.,]?[0-9]")
_SIZES = re.compile(r"(?<=[^a-z])\s*(?:by|[x×*])\s*(?=[0-9.])|(?<=[0-9a-z])\s+(?:by|[x×*])\s*(?=[0-9.])")
_JOINS = frozenset(("x", "×", "*", "by", "to", "-", "–"))
_PAIR = re.compile(r"([+-]?[0-9]*[.]?[0-9]+[^0-9,.]*),([+-]?[0-9]*[.]?[0-9]+[^0-9,.]*)")
_INCHES = re.compile(r"[0-9./]+ ?(?:in\.?|inch|inches|\"|'')")
_FEET = re.compile(r".*[0-9] ?(?:ft\.?|foot|feet|')")


def words_of(text: str) -> list[str]:
    """A breath as its words and figures, each figure with its unit: "saw 12ft 6in, 5 m" -> ["saw", "12ft 6in", "5 m"].

    Sizes and ranges stay one. Raises BadValue where it is too long.
    """
    if len(text) > LONGEST:
        raise BadValue(f"{len(text)} characters: wanted at most {LONGEST}")
    found: list[str] = []
    for part in _APART.split(text.strip()):
        joined: list[str] = []
        for word in part.split():
            if joined and is_figure(joined[-1]) and _goes_on(joined[-1], word):
                joined[-1] += f" {word}"
            else:
                joined += _pointed(word)
        found += joined
    return found


def _pointed(word: str) -> list[str]:
    """The figures of "2.4,3.1" and of "2,3,1": beside points and beside each other, commas stand between."""
    parts = word.split(",")
    between = all(map(is_figure, parts)) and ("." in word or len(parts) > 2)
    return parts if between else [word]


def _goes_on(figure: str, word: str) -> bool:
    """Whether a word belongs to the figure before it: its unit, its inches, its fraction, or the other end of a size or a range."""
    last = figure.rsplit(" ", 1)[-1]
    if last in _JOINS:
        return is_figure(word)
    if word in _JOINS:
        return True
    if not is_figure(word):
        return figure[-1].isdigit() and unit_of(word) is not None
    return bool(_INCHES.fullmatch(word) and _FEET.fullmatch(figure)) or ("/" in word and last.isdigit())


def is_figure(word: str) -> bool:
    """Whether a word begins as a figure does."""
    return _FIGURE.match(word) is not None


def spot_apart(text: str) -> list[str]:
    """The words of a text that says where something is: "saw 2,3" -> "saw", "2", "3".

    Beside another comma or a semicolon such a one is a decimal sign.
    """
    words = words_of(text)
    first = next((at for at, word in enumerate(words) if is_figure(word)), len(words))
    pair = _PAIR.fullmatch(words[first]) if first < len(words) else None
    alone = not _APART.search(text.strip()) and not any("," in word for word in words[first + 1 :])
    return [*words[:first], pair[1], pair[2], *words[first + 1 :]] if pair and alone else words


def sizes_of(word: str) -> list[str]:
    """The figures of "7 x 4" or "1.1 by 0.6 x 0.9"; the word alone where it is no such."""
    return [part.strip() for part in _SIZES.split(word.strip())]


def is_size(word: str) -> bool:
    """Whether a word is a size of two or three figures."""
    return is_figure(word) and len(sizes_of(word)) > 1
