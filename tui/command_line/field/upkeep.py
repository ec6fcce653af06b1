"""`kerfdraft upkeep`: what is due in a shop, and when its filter wants cleaning, without a session."""

from __future__ import annotations

import argparse
from datetime import date
from typing import TYPE_CHECKING

from tui.command_line.files import OK
from tui.command_line.parser import JSON, Command
from tui.terminal.streams import tell

if TYPE_CHECKING:
    from engine.design import Design


def _carry_out(options: argparse.Namespace, design: Design) -> int:
    from engine.report.upkeep import as_json, as_text

    tell((as_json if options.json else as_text)(design, date.today()))
    return OK


COMMAND = Command(
    name="upkeep",
    brief="what is due, and when the filter wants cleaning",
    description="Tell what is due by the log of a design, when its filter wants cleaning by the trend of its drop, and what was done.",
    statuses="0 done, 2 the file cannot be read",
    shares=(JSON,),
    carry_out=_carry_out,
)
