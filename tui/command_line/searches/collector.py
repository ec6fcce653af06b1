"""`kerfdraft collector`: what the gate sets ask of a collector, and which of those to choose from would do."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, cast

from tui.command_line.files import FAULTS, OK, UNREADABLE
from tui.command_line.parser import JSON, Command, Parser, writing
from tui.command_line.taking import chosen, wrote
from tui.terminal.streams import tell

if TYPE_CHECKING:
    from engine.design import Design
    from engine.search.collectors import Choice

# A margin beyond twice the need is a slip of the pen, per cent.
_MOST_MARGIN = 100.0


def _options(parser: Parser) -> None:
    parser.add_argument("--margin", type=float, default=0.0, metavar="N", help="give every machine so many per cent more than its need (default: 0)")
    parser.add_argument("--sized", action="store_true", help="look for other sizes too, for each choice and for the least that would do")
    parser.add_argument("--second", action="store_true", help="tell what a second, smaller collector on some of the machines would do")


def _carry_out(options: argparse.Namespace, design: Design) -> int:
    from engine.checks.assess import assess
    from engine.report.searches.collectors import Answer, as_json, as_text
    from engine.search.collectors import choices, duties, least_with_other_sizes, splits, worst

    if not 0 <= options.margin <= _MOST_MARGIN:
        options.parser.error(f"--margin wants 0 to {_MOST_MARGIN:g} per cent")
    margin = options.margin / 100.0
    assessment = assess(design)
    *_, tried = choices(design, assessment, sized=options.sized)
    asked = duties(design, margin)
    sized = list(least_with_other_sizes(design, margin)) if options.sized else []
    found = Answer(
        design, margin, asked, sized=sized[-1] if sized else None, asked_for_sizes=options.sized,
        splits=tuple(splits(design, assessment)) if options.second else (), choices=cast("tuple[Choice, ...]", tried.proposals), said=tried.said,
    )  # fmt: skip
    taken = chosen(options, found.choices)
    tell((as_json if options.json else as_text)(found))
    if taken and not wrote(options, taken.design, f"the design with {taken.id}"):
        return UNREADABLE
    hardest = worst(asked)
    return OK if hardest and hardest.lacks <= 1.0 and not any(duty.trouble for duty in asked) else FAULTS


COMMAND = Command(
    name="collector",
    brief="what to ask of a collector",
    description="Tell what each gate set asks of a collector, what to take to a dealer, and which of the design's choices would do.",
    statuses="0 the present collector is enough with a loaded filter, 1 it is not, 2 the file cannot be read or written",
    shares=(JSON, writing("the design with that choice", "choice")),
    options=_options,
    carry_out=_carry_out,
)
