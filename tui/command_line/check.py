"""`kerfdraft check`: every gate set solved and everything that is wrong, without a session."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from tui.command_line.files import FAULTS, OK, UNREADABLE, loaded

if TYPE_CHECKING:
    from engine.design import Design

NAMES = ("check",)


def run(name: str, arguments: Sequence[str], parser_class: type[argparse.ArgumentParser]) -> int:
    """Carry it out; the exit status."""
    parser = parser_class(
        prog=f"kerfdraft {name}",
        description="Solve every gate set of a design and report what is wrong with it.",
        epilog="exit status: 0 no faults, 1 faults found (with --all-sets: a machine that passes in no set), 2 the file cannot be read",
    )
    parser.add_argument("file", type=Path, metavar="FILE", help="design to check")
    parser.add_argument("--json", action="store_true", help="print the results in SI base units as JSON")
    parser.add_argument("--all-sets", action="store_true", help="tell instead which machines may work together")
    options = parser.parse_args(arguments)
    design = loaded(options.file)
    if design is None:
        return UNREADABLE
    return (_check_all_sets if options.all_sets else _check)(design, as_json=options.json)


def _check(design: Design, *, as_json: bool) -> int:
    from engine.checks.assess import assess
    from engine.report import assessment as report

    assessment = assess(design)
    print(report.as_json(assessment) if as_json else report.as_text(assessment))
    return FAULTS if assessment.count("fault") else OK


def _check_all_sets(design: Design, *, as_json: bool) -> int:
    from engine.air.network import compile_tree
    from engine.checks.look import look_at
    from engine.report import together as together_report
    from engine.search.together.companions import together

    found = together(look_at(design, compile_tree(design)))
    print(together_report.as_json(found) if as_json else together_report.as_text(found))
    return OK if found.serves_all else FAULTS
