"""`kerfdraft size`: bores from what the store has, and what to take instead of a size, without a session."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from time import monotonic
from typing import TYPE_CHECKING

from tui.command_line.files import OK, UNREADABLE
from tui.command_line.parser import JSON, Command, Parser, writing
from tui.command_line.taking import chosen, wrote
from tui.terminal.streams import complain, tell

if TYPE_CHECKING:
    from engine.checks.assess import Assessment
    from engine.design import Design
    from engine.search.proposals import Step

_SECONDS = 60.0
# A margin beyond twice the need is a slip of the pen, per cent.
_MOST_MARGIN = 100.0
# What has no use where a chart is all that is shown.
_NOT_FOR_A_CHART = ("margin", "seconds", "take", "write", "json")


def _options(parser: Parser) -> None:
    one = parser.add_mutually_exclusive_group()
    one.add_argument("--without", metavar="SIZE", help="tell instead what to take for a size such as spiral/140, or for a run, by its name")
    one.add_argument("--chart", metavar="RUN", help="show instead the stocked bores beside that of a run, and the friction of a metre of each")
    one.add_argument("--throttled", action="store_true", help="for a shop that throttles every gate to its machine's need")
    parser.add_argument("--margin", type=float, metavar="N", help="give every machine so many per cent more than its need (default: 0)")
    parser.add_argument("--seconds", type=float, metavar="N", help=f"stop after so many seconds with what is found (default: {_SECONDS:g})")


def _carry_out(options: argparse.Namespace, design: Design) -> int:
    from engine.checks.assess import assess
    from engine.edits import EditError
    from engine.report.searches.sizing import as_json, as_text
    from engine.search.proposals import standing

    seconds = _SECONDS if options.seconds is None else options.seconds
    if not seconds > 0:
        options.parser.error("--seconds wants more than 0")
    if options.margin is not None and not 0 <= options.margin <= _MOST_MARGIN:
        options.parser.error(f"--margin wants 0 to {_MOST_MARGIN:g} per cent")
    if options.margin is not None and options.without is not None:
        options.parser.error("--margin has no use with --without")
    if options.chart is not None:
        return _chart(options, assess(design))
    assessment = assess(design)
    try:
        step = _last(_steps(options, design, assessment), seconds)
    except EditError as reason:
        complain(f"{options.file}: {reason}")
        return UNREADABLE
    taken = chosen(options, step.proposals)
    tell((as_json if options.json else as_text)(design, standing(assessment), step))
    done = taken is None or wrote(options, taken.design, f"proposal {step.proposals.index(taken) + 1}")
    return OK if done else UNREADABLE


def _chart(options: argparse.Namespace, assessment: Assessment) -> int:
    from engine.design.rules.consistency import nearest_word
    from engine.report.chart import as_text

    if useless := [name for name in _NOT_FOR_A_CHART if vars(options)[name]]:
        options.parser.error(f"--{useless[0]} has no use with --chart, which shows a chart and nothing else")
    if options.chart not in assessment.look.runs:
        near = nearest_word(options.chart, list(assessment.look.runs))
        complain(f"{options.file} has no run {options.chart!r}" + (f", only {near!r}" if near else ""))
        return UNREADABLE
    tell("\n".join(as_text(assessment, options.chart)))
    return OK


def _steps(options: argparse.Namespace, design: Design, assessment: Assessment) -> Iterator[Step]:
    from engine.search.sizing import sizes
    from engine.search.sizing.substitution import substitutes

    if options.without is not None:
        return substitutes(design, options.without, assessment)
    return sizes(design, assessment, throttled=options.throttled, margin=(options.margin or 0.0) / 100)


def _last(steps: Iterator[Step], seconds: float) -> Step:
    """The last step of a search, or that at the end of the time."""
    ends = monotonic() + seconds
    for step in steps:
        last = step
        if monotonic() > ends:
            break
    return last


COMMAND = Command(
    name="size",
    brief="sizes from what the store has; what else to take",
    description="Choose a size that the store has for every run, at the true balance of every gate set.",
    statuses="0 done, 2 the file cannot be read or written, or there is nothing to choose",
    shares=(JSON, writing("those sizes", "proposal")),
    options=_options,
    carry_out=_carry_out,
)
