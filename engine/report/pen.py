"""What all reports are written with: plain text that fits 80 columns, and JSON in SI base units under one head."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from itertools import zip_longest
from textwrap import wrap
from typing import TYPE_CHECKING, Any

from engine.checks import Finding
from engine.design import Design
from engine.field.tuned import tuned_note
from engine.units import si_unit
from engine.units.words import counted, share_text

if TYPE_CHECKING:  # nothing is asked of a search but what it has found
    from engine.search.proposals import Proposal, Standing

WIDTH = 80
# What a page of the session shows of that.
PAGE = 77
JSON_FORMAT = 1
_LABEL = 11


# ---- text


def wrapped(text: str, indent: str = "", width: int = WIDTH) -> list[str]:
    """Text wrapped, its further lines indented."""
    return wrap(text, width, initial_indent=indent, subsequent_indent=indent + "  ", break_on_hyphens=False) or [""]


def paged(text: str, indent: str = "") -> list[str]:
    """Text wrapped as wide as a page of the session shows it."""
    return wrapped(text, indent, PAGE)


def headed(design: Design, title: str = "", width: int = WIDTH) -> list[str]:
    """The head of a report on what is solved: the design's name with a title, and by which readings it goes where it is tuned to some."""
    note = tuned_note(design)
    return [*wrapped(f"{design.name}: {title}" if title else design.name, width=width), *(wrapped(note, width=width) if note else ())]


def labelled(label: str, text: str, width: int = WIDTH) -> list[str]:
    """Text wrapped beside its label."""
    return wrap(text, width, initial_indent=f"{label:<{_LABEL}}", subsequent_indent=" " * _LABEL, break_on_hyphens=False)


def page(blocks: Iterable[Iterable[str]]) -> str:
    """Blocks of lines as one text, an empty line between them."""
    return "\n\n".join("\n".join(block) for block in blocks)


def numbered(number: int, one: Proposal, indent: str = "") -> list[str]:
    """A proposal by its number, with its reason."""
    return wrapped(f"{number}. {one.title}: {one.reason}", indent)


def cut(text: str, width: int) -> str:
    """Text of at most `width` characters."""
    return text if len(text) <= width else text[: width - 3] + "..."


def cell(text: str, width: int) -> str:
    """Text in a column of `width` characters, cut to it or filled up."""
    return f"{cut(text, width):<{width}}"


def beside(text: str, width: int, note: str) -> list[str]:
    """Text wrapped to a column of `width` characters, with a note behind its first line."""
    first, *rest = wrapped(text, width=width)
    return [f"{first:<{width}}{note}", *rest]


def side_by_side(*columns: tuple[str, int]) -> list[str]:
    """Texts in columns of so many characters, two blanks between, each wrapped in its own."""
    cells = [wrap(text, width, break_on_hyphens=False) or [""] for text, width in columns]
    rows = zip_longest(*cells, fillvalue="")
    return ["  ".join(f"{text:<{width}}" for text, (_, width) in zip(row, columns, strict=True)).rstrip() for row in rows]


def aside(text: str, note: str, width: int = WIDTH) -> list[str]:
    """Text wrapped, with a note at the right end of its first line."""
    first, *rest = wrapped(text, width=width - len(note) - 2)
    return [f"{first:<{width - len(note)}}{note}", *rest]


def standing_text(found: Standing) -> str:
    """How a design stands: the machine that is worst off, and the findings counted."""
    counts = f"{counted(found.faults, 'fault')}, {counted(found.cautions, 'caution')}"
    if found.share is None:
        return f"a gate set has no answer; {counts}"
    return f"neediest {found.port} in {found.gate_set}, {share_text(found.share)} of its need; {counts}"


# ---- JSON


def in_money(design: Design) -> str:
    """Said of prices: ", in EUR"; nothing where the design names no currency."""
    return f", in {design.currency}" if design.currency else ""


def json_text(design: Design | None, /, **parts: Any) -> str:
    """A report as JSON text: `format`, the design's name, its currency and by which readings it goes where there are any, then its parts."""
    named = {"design": design.name, "currency": design.currency, "tuned": tuned_note(design) or None} if design else {}
    head = {"format": JSON_FORMAT} | {key: value for key, value in named.items() if value is not None}
    from json import dumps  # text does without

    return dumps(head | parts, indent=2, ensure_ascii=False, allow_nan=False)


def picked(one: object, *names: str) -> dict[str, Any]:
    """Some fields of an object as plain data."""
    return {name: getattr(one, name) for name in names}


def finding_json(finding: Finding, sets: Iterable[str] = ()) -> dict[str, Any]:
    """A finding as plain data: `value` past `limit` in a `unit` of SI, null where it has no figure; its condition happens in all these `sets`."""
    measure = finding.measure
    figures = {
        "value": measure.value if measure else None, "limit": measure.limit if measure else None,
        "unit": si_unit(measure.dimension) if measure else None, "sets": list(sets),
    }  # fmt: skip
    return picked(finding, "code", "severity", "where", "piece", "gate_set", "message", "remedy", "source", "accepted") | figures


def standing_json(found: Standing) -> dict[str, Any]:
    """How a design stands as plain data."""
    return asdict(found)
