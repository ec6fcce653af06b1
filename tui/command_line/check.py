"""`kerfdraft check`: every gate set solved and everything that is wrong, without a session."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from tui.command_line.files import FAULTS, OK
from tui.command_line.parser import JSON, Command, Parser
from tui.terminal.streams import columns, tell

if TYPE_CHECKING:
    from engine.design import Design


def _options(parser: Parser) -> None:
    parser.add_argument("--all-sets", action="store_true", help="tell instead which machines may work together")
    parser.add_argument("--each", action="store_true", help="tell every run and gate set of a finding by itself")
    parser.add_argument("--cautions", action="store_true", help="tell the health and safety cautions whole")


def _carry_out(options: argparse.Namespace, design: Design) -> int:
    if options.all_sets:
        return _check_all_sets(design, as_json=options.json)
    from engine.checks.assess import assess
    from engine.report import assessment as report

    assessment = assess(design)
    words = "" if options.json else report.as_text(assessment, columns(), each=options.each, whole_cautions=options.cautions)
    tell(words or report.as_json(assessment))
    return FAULTS if assessment.has_faults else OK


def _check_all_sets(design: Design, *, as_json: bool) -> int:
    from engine.air.one.network import compile_tree
    from engine.checks.look import look_at
    from engine.report.searches import together as report
    from engine.search.together.companions import together

    found = together(look_at(design, compile_tree(design)))
    tell(report.as_json(found) if as_json else report.as_text(found))
    return OK if found.serves_all else FAULTS


COMMAND = Command(
    name="check",
    brief="solve every gate set and say what is wrong",
    description="Solve every gate set of a design and report what is wrong with it.",
    statuses="0 no faults, 1 faults found (with --all-sets: a machine that passes in no set), 2 the file cannot be read",
    shares=(JSON,),
    options=_options,
    carry_out=_carry_out,
)
