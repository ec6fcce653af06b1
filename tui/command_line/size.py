"""`kerfdraft size`: bores from what the store has, and what to take instead of a size, without a session."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING

from tui.command_line.files import OK, UNREADABLE, complain, loaded, written

if TYPE_CHECKING:
    from engine.checks.assess import Assessment
    from engine.design import Design
    from engine.search.proposals import Step

NAMES = ("size",)
_SECONDS = 60.0


def run(name: str, arguments: Sequence[str], parser_class: type[argparse.ArgumentParser]) -> int:
    """Carry it out; the exit status."""
    parser = parser_class(prog=f"kerfdraft {name}")
    _options(parser)
    options = parser.parse_args(arguments)
    if options.take is not None and options.write is None:
        parser.error("--take says which proposal --write OUT writes")
    if options.seconds <= 0:
        parser.error("--seconds wants more than 0")
    design = loaded(options.file)
    if design is None:
        return UNREADABLE
    from engine.checks.assess import assess
    from engine.edits import EditError
    from engine.report.sizing import as_json, as_text
    from engine.search.proposals import standing

    assessment = assess(design)
    if options.chart:
        return _charted(options, assessment)
    try:
        step = _last(_steps(options, design, assessment), options.seconds)
    except EditError as reason:
        complain(f"{options.file}: {reason}")
        return UNREADABLE
    take = 1 if options.take is None else options.take
    if options.write and not 1 <= take <= len(step.proposals):
        parser.error(f"there is no proposal {take}: {len(step.proposals)} found")
    print((as_json if options.json else as_text)(design, standing(assessment), step))
    if options.write:
        if not written(step.proposals[take - 1].design, options.write):
            return UNREADABLE
        if not options.json:
            print(f"\nwritten to {options.write}: proposal {take}")
    return OK


def _options(parser: argparse.ArgumentParser) -> None:
    parser.description = "Choose a size that the store has for every run, at the true balance of every gate set."
    parser.epilog = "exit status: 0 done, 2 the file cannot be read or written, or there is nothing to choose"
    parser.add_argument("file", type=Path, metavar="FILE", help="design to size")
    parser.add_argument("--without", metavar="SIZE", help="tell instead what to take for a size such as spiral/140, or for a run, by its name")
    parser.add_argument("--chart", metavar="RUN", help="show instead the stocked bores beside that of a run, and the friction of a metre of each")
    parser.add_argument("--throttled", action="store_true", help="for a shop that throttles every gate to its machine's need")
    parser.add_argument("--seconds", type=float, default=_SECONDS, metavar="N", help="stop after so many seconds with what is found (default: 60)")
    parser.add_argument("--json", action="store_true", help="print the results in SI base units as JSON")
    parser.add_argument("--take", type=int, metavar="N", help="number of the proposal to write (default: 1)")
    parser.add_argument("--write", type=Path, metavar="OUT", help="write the design with those sizes to OUT")


def _charted(options: argparse.Namespace, assessment: Assessment) -> int:
    from engine.design.consistency import nearest_word
    from engine.report.chart import as_text

    if options.chart not in assessment.look.runs:
        near = nearest_word(options.chart, list(assessment.look.runs))
        complain(f"{options.file} has no run {options.chart!r}" + (f", only {near!r}" if near else ""))
        return UNREADABLE
    print("\n".join(as_text(assessment, options.chart)))
    return OK


def _steps(options: argparse.Namespace, design: Design, assessment: Assessment) -> Iterator[Step]:
    from engine.search.sizing import sizes
    from engine.search.sizing.substitution import substitutes

    if options.without:
        return substitutes(design, options.without, assessment)
    return sizes(design, assessment, throttled=options.throttled)


def _last(steps: Iterator[Step], seconds: float) -> Step:
    """The last step of a search, or that at the end of the time."""
    began = monotonic()
    for step in steps:
        if monotonic() - began > seconds:
            break
    return step
