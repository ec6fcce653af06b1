"""A mistake in the words of whoever is at work on the design; `str` of one is for a file, with its keys and lines."""

from __future__ import annotations

import re
from dataclasses import is_dataclass
from typing import Any

from engine.design import Body, Design
from engine.design.entries import entries
from engine.design.mistake import LONGEST_LINE, Mistake, Path, shortened
from engine.design.names import label
from engine.design.places import DESIGN, Place, place_at
from engine.units import Quantity

_KEY = re.compile(r'"[^"]*"|(?<=[a-z])_(?=[a-z])')


def in_words(design: Design, mistake: Mistake) -> str:
    """A mistake of `design` in one line: "curve point 5, flow: ..." where a file's would say collector.curve[4].flow."""
    hint = f" (nearest: {shortened(mistake.nearest)})" if mistake.nearest else ""
    where = _where(design, mistake.path)
    return shortened(f"{where}{': ' if where else ''}{_plain(mistake.found)}; wanted: {_plain(mistake.wanted)}{hint}", LONGEST_LINE)


def _where(design: Design, path: Path) -> str:
    """What a path of keys leads to by its name, and the field of it."""
    place, last = _place(design, path)
    thing = label(design, place) if place != DESIGN else ""
    field = last.replace("_", " ")
    return ", ".join(part for part in (thing, "" if thing.startswith(field) else field) if part)


def _place(design: Design, path: Path) -> tuple[Place, str]:
    """The place of the innermost thing on a path, and the key of its field, "" for the thing as a whole."""
    item: Any = design
    steps: tuple[str | int, ...] = ()
    thing: Place = DESIGN
    last = ""
    for step in path:
        name = _name(item, step) if isinstance(step, str) else step
        item = _held(item, name)
        steps, last = (*steps, name), step if isinstance(step, str) else last
        if isinstance(item, Body):
            continue
        if is_dataclass(item) and not isinstance(item, Quantity):
            thing, last = place_at(*steps), ""
        elif not isinstance(item, tuple):
            break
    return thing, last


def _held(item: Any, step: str | int) -> Any:
    """What a thing has in a field, or a list at an index; None for nothing."""
    if isinstance(step, str):
        return getattr(item, step, None)
    return item[step] if isinstance(item, tuple) and step < len(item) else None


def _name(item: Any, key: str) -> str:
    known = entries(type(item)) if is_dataclass(item) else {}
    return next((name for name, entry in known.items() if entry.key == key), key)


def _plain(text: str) -> str:
    """A text with its keys as words; what is quoted stays."""
    return _KEY.sub(lambda found: found[0] if found[0].startswith('"') else " ", text)
