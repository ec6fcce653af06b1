"""`kerfdraft survey`: a blank sheet to take into the shop."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from tui.command_line.files import OK
from tui.command_line.parser import Command, Parser
from tui.terminal.streams import tell

if TYPE_CHECKING:
    from engine.design import Design

_NOTHING = Parser(add_help=False)
_NOTHING.set_defaults(file=None)


def _options(parser: Parser) -> None:
    parser.add_argument("--imperial", action="store_true", help="in feet, inches, cfm and inH2O (default: m, mm, m3/h and Pa)")


def _carry_out(options: argparse.Namespace, _design: Design | None = None) -> int:
    from engine.report.survey_sheet import blank_sheet

    tell(blank_sheet("imperial" if options.imperial else "metric"))
    return OK


COMMAND = Command(
    name="survey",
    brief="a blank sheet to measure a shop with",
    description="Print a blank sheet of one page: what to measure in the shop, in the order in which the interview of a new design asks for it.",
    statuses="0 done",
    shares=(),
    options=_options,
    carry_out=_carry_out,
    argument=_NOTHING,
    without_design=_carry_out,
    takes="",
)
