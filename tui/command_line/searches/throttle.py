"""`kerfdraft throttle`: which gates to leave part open, found and written without a session."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from tui.command_line.files import FAULTS, OK, UNREADABLE
from tui.command_line.parser import JSON, Command, Parser, writing
from tui.command_line.taking import wrote
from tui.terminal.streams import complain, tell

if TYPE_CHECKING:
    from engine.design import Design


def _options(parser: Parser) -> None:
    parser.add_argument("set", nargs="?", metavar="SET", help="a gate set by its name (default: all of several machines)")
    parser.add_argument("--even", action="store_true", help="divide the air as evenly as can be, even where all needs are met")


def _carry_out(options: argparse.Namespace, design: Design) -> int:
    from engine.checks.assess import assess
    from engine.report.searches.throttling import as_json, as_text
    from engine.search.throttling import all_throttled, throttling

    assessment = assess(design)
    found = [throttling(design, name, assessment, even=options.even) for name in _wanted(options, design)]
    tell((as_json if options.json else as_text)(design, found))
    if options.write:
        changed = all_throttled(design, found)
        if changed == design:
            complain(f"{options.write} is not written: no gate would stand otherwise")
        elif not wrote(options, changed, "the design with the throttled gates"):
            return UNREADABLE
    return OK if all(one.met for one in found) else FAULTS


def _wanted(options: argparse.Namespace, design: Design) -> list[str]:
    """The names of the gate sets to throttle."""
    from engine.design import gate_sets_of
    from engine.design.rules.consistency import nearest_word

    sets = gate_sets_of(design)
    if options.set is None:
        return [gate_set.name for gate_set in sets if len(gate_set.open) > 1]
    names = [gate_set.name for gate_set in sets]
    if options.set not in names:
        near = nearest_word(options.set, names)
        options.parser.error(f"{options.file} has no gate set '{options.set}'" + (f", only '{near}'" if near else ""))
    return [options.set]


COMMAND = Command(
    name="throttle",
    brief="which gates to leave part open",
    description="Tell which gates to leave part open so that each machine at work gets the air it needs.",
    statuses="0 every machine gets its need, 1 some does not, 2 the file cannot be read or written",
    shares=(JSON, writing("the gates so")),
    options=_options,
    carry_out=_carry_out,
)
