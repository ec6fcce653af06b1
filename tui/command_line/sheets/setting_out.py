"""`kerfdraft setting-out`: where every fitting and hanger goes, without a session."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from tui.command_line.files import OK
from tui.command_line.parser import JSON, Command
from tui.terminal.streams import tell

if TYPE_CHECKING:
    from engine.design import Design


def _carry_out(options: argparse.Namespace, design: Design) -> int:
    from engine.parts.setting_out import setting_out
    from engine.report.setting_out import as_json, as_text

    tell((as_json if options.json else as_text)(design, setting_out(design)))
    return OK


COMMAND = Command(
    name="setting-out",
    brief="where fittings and hangers go, in which order",
    description="Tell where every fitting, gate, hanger and hole goes, from two walls and the floor, and the order to put the ducts up in.",
    statuses="0 done, 2 the file cannot be read",
    shares=(JSON,),
    carry_out=_carry_out,
)
