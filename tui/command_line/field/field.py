"""`kerfdraft field`: the readings of a design against what they should be, and the design tuned to them, without a session."""

from __future__ import annotations

import argparse
from datetime import date
from typing import TYPE_CHECKING

from tui.command_line.field.since import day, since_option
from tui.command_line.files import FAULTS, OK, UNREADABLE
from tui.command_line.parser import JSON, Command, Parser, writing
from tui.command_line.taking import wrote
from tui.terminal.streams import complain, tell

if TYPE_CHECKING:
    from engine.design import Design


def _options(parser: Parser) -> None:
    since_option(parser)
    parser.add_argument("--tune", action="store_true", help="tune the design to its baseline, and tell what moved instead")
    parser.add_argument("--tuned", choices=("on", "off"), help="go by what it was tuned to before, or by its own figures")


def _carry_out(options: argparse.Namespace, design: Design) -> int:
    if options.write and not (options.tune or options.tuned):
        options.parser.error("--write wants --tune or --tuned: readings alone change nothing")
    if options.tune and (options.since or options.tuned):
        options.parser.error(f"{'--since' if options.since else '--tuned'} has no use with --tune, which takes the whole baseline and switches it on")
    return _tune(options, design) if options.tune else _judge(options, design)


def _judge(options: argparse.Namespace, design: Design) -> int:
    from engine.field.tuned import is_tuned, switched
    from engine.field.verdicts import verdicts
    from engine.report.field import as_json, as_text

    since = day(options)
    if options.tuned:
        if not is_tuned(design):
            options.parser.error("--tuned wants a design that was tuned: --tune tunes it to its baseline")
        design = switched(design, on=options.tuned == "on")
    chosen = [reading for reading in design.readings if since is None or (reading.date is not None and reading.date >= since)]
    found = verdicts(design, sorted(chosen, key=lambda reading: reading.date or date.min))
    tell(as_json(design, found) if options.json else as_text(design, found, since))
    if options.write and not wrote(options, design, f"the design with its tuning {options.tuned}"):
        return UNREADABLE
    return FAULTS if any(one.is_wrong for one in found) else OK


def _tune(options: argparse.Namespace, design: Design) -> int:
    from engine.field.tuning import NOT_BELIEVABLE, Untunable, fit
    from engine.report.tuning import as_json, as_text

    try:
        found = fit(design)
    except Untunable as reason:
        complain(f"{options.file}: {reason}")
        return UNREADABLE
    tell((as_json if options.json else as_text)(found))
    if options.write and not wrote(options, found.design, "the design tuned to its baseline"):
        return UNREADABLE
    return FAULTS if found.far_off or any(one.verdict == NOT_BELIEVABLE for one in found.moved) else OK


COMMAND = Command(
    name="field",
    brief="readings against what they should be",
    description="List what was read in the shop beside what it should be, as expected, worth a look, or wrong; or tune the design to its baseline.",
    statuses="0 no reading is wrong, 1 some is (with --tune: one does not fit, or a factor is not believable), 2 the file cannot be read or written, "
    "or there is nothing to tune to",
    shares=(JSON, writing("what it was tuned to, switched on or off")),
    options=_options,
    carry_out=_carry_out,
)
