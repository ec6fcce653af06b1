"""`kerfdraft field`: the readings of a design against what they should be, without a session."""

from __future__ import annotations

import argparse
from datetime import date
from typing import TYPE_CHECKING

from tui.command_line.files import FAULTS, OK
from tui.command_line.parser import JSON, Command, Parser
from tui.terminal.streams import tell

if TYPE_CHECKING:
    from engine.design import Design


def _options(parser: Parser) -> None:
    parser.add_argument("--since", metavar="DATE", help="only readings of that day and later, such as 2026-03-01")


def _carry_out(options: argparse.Namespace, design: Design) -> int:
    from engine.field.verdicts import WRONG, verdicts
    from engine.report.field import as_json, as_text

    since = _day(options)
    chosen = [reading for reading in design.readings if since is None or (reading.date is not None and reading.date >= since)]
    found = verdicts(design, sorted(chosen, key=lambda reading: reading.date or date.min))
    tell((as_json if options.json else as_text)(design, found))
    return FAULTS if any(one.verdict == WRONG for one in found) else OK


def _day(options: argparse.Namespace) -> date | None:
    try:
        return date.fromisoformat(options.since) if options.since else None
    except ValueError:
        options.parser.error(f"--since {options.since!r} is not a date; wanted one such as 2026-03-01")
        raise


COMMAND = Command(
    name="field",
    brief="readings against what they should be",
    description="List what was read in the shop beside what it should be, as expected, worth a look, or wrong.",
    statuses="0 no reading is wrong, 1 some is, 2 the file cannot be read",
    shares=(JSON,),
    options=_options,
    carry_out=_carry_out,
)
