"""`kerfdraft causes`: what is wrong with ducts by their readings, and where to read next, without a session."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from tui.command_line.field.since import day, since_option
from tui.command_line.files import FAULTS, OK, UNREADABLE
from tui.command_line.parser import JSON, Command
from tui.terminal.streams import complain, tell

if TYPE_CHECKING:
    from engine.design import Design


def _carry_out(options: argparse.Namespace, design: Design) -> int:
    from engine.field.built import as_built
    from engine.field.causes.diagnosis import diagnoses
    from engine.field.causes.suspects import NOTHING
    from engine.report.causes import as_json, as_text

    since = day(options)
    if not as_built(design).runs:
        complain(f"{options.file}: no run hangs; wanted ducts that can be read at")
        return UNREADABLE
    *_, found = diagnoses(design, since)
    tell((as_json if options.json else as_text)(design, found))
    return OK if found.causes[0].cause == NOTHING else FAULTS


COMMAND = Command(
    name="causes",
    brief="what is wrong, and where to read next",
    description="Weigh every cause of weak suction against the readings: the probable ones, what to look at first, which reading tells most.",
    statuses="0 most likely nothing is wrong, 1 something is, 2 the file cannot be read",
    shares=(JSON,),
    options=since_option,
    carry_out=_carry_out,
)
