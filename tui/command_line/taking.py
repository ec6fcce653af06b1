"""One of several proposals chosen by its number, and written."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING, TypeVar

from tui.command_line.files import UNREADABLE, why_not_written, written
from tui.terminal.streams import complain, tell

if TYPE_CHECKING:
    from engine.design import Design
    from engine.search.proposals import Proposal

    Found = TypeVar("Found", bound=Proposal)


def refuse_alone(options: argparse.Namespace) -> None:
    """Leave where --take says which to write, and nothing is to be written."""
    if vars(options).get("take") is not None and options.write is None:
        options.parser.error(f"--take says which {options.noun} --write OUT writes")


def refuse_unwritable(options: argparse.Namespace) -> None:
    """Leave where OUT cannot be written: better said before a search than after it."""
    out = vars(options).get("write")
    if out is not None and (why := why_not_written(out)):
        complain(f"{out}: {why}")
        raise SystemExit(UNREADABLE)


def chosen(options: argparse.Namespace, found: Sequence[Found]) -> Found | None:
    """The one to write; None where none is. Leaves where there is none of that number."""
    if options.write is None:
        return None
    return numbered_one(options, found, 1 if options.take is None else options.take)


def numbered_one(options: argparse.Namespace, found: Sequence[Found], number: int) -> Found:
    """The one of that number. Leaves where there is none."""
    from engine.units.words import counted

    if not 1 <= number <= len(found):
        options.parser.error(f"there is no {options.noun} {number}: {counted(len(found), 'was', 'were')} found")
    return found[number - 1]


def wrote(options: argparse.Namespace, design: Design, what: str) -> bool:
    """Whether the design could be written; that it was is told beside a report that is text."""
    from engine.files.store_file import moved

    design, of_store = moved(design, options.file.parent, options.write.parent)
    if not written(design, options.write):
        return False
    if not vars(options).get("json"):
        tell("\n" + "\n".join(filter(None, (f"written to {options.write}: {what}", of_store))))
    return True
