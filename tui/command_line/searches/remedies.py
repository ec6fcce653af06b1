"""`kerfdraft remedies`: which single changes would help a design, found and written without a session."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, cast

from tui.command_line.files import FAULTS, OK, UNREADABLE
from tui.command_line.parser import JSON, Command, Parser, writing
from tui.command_line.taking import chosen, wrote
from tui.terminal.streams import tell

if TYPE_CHECKING:
    from engine.design import Design
    from engine.search.remedies.remedy import Remedy


def _options(parser: Parser) -> None:
    parser.add_argument("--pairs", action="store_true", help="try pairs of the best too")


def _carry_out(options: argparse.Namespace, design: Design) -> int:
    from engine.checks.assess import assess
    from engine.report.searches.remedies import as_json, as_text
    from engine.search.proposals import standing
    from engine.search.remedies import remedies

    assessment = assess(design)
    for step in remedies(design, assessment, pairs=options.pairs):
        found, said = cast("tuple[Remedy, ...]", step.proposals), step.said
    taken = chosen(options, found)
    number = found.index(taken) + 1 if taken else 1
    was = standing(assessment)
    tell(as_json(design, was, found, said) if options.json else as_text(design, was, found, number, said))
    if taken and not wrote(options, taken.as_taken, f"the design with remedy {number}"):
        return UNREADABLE
    return FAULTS if assessment.has_faults else OK


COMMAND = Command(
    name="remedies",
    brief="what to change first",
    description="Try every sensible single change of a design and list those that help, best first.",
    statuses="0 the design has no faults, 1 it has, 2 the file cannot be read or written",
    shares=(JSON, writing("that remedy", "remedy")),
    options=_options,
    carry_out=_carry_out,
)
