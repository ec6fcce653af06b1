"""`kerfdraft parts`: what a design's ducts are made of, counted and priced, without a session."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from tui.command_line.files import OK, UNREADABLE, loaded
from tui.command_line.parser import JSON, Command, Parser
from tui.terminal.streams import tell

if TYPE_CHECKING:
    from engine.design import Design

_MOST_SPARES = 100.0


def _options(parser: Parser) -> None:
    parser.add_argument("--spares", type=float, metavar="N", help="so many per cent more of the small parts (default: 0)")
    one = parser.add_mutually_exclusive_group()
    one.add_argument("--against", type=Path, metavar="OTHER", help="tell line by line what it has more and fewer than another design")
    one.add_argument("--to-buy", action="store_true", help="tell what is not marked as bought yet alone")
    one.add_argument("--budget", type=float, metavar="N", help="tell instead what to buy first, in stages that cost at most so much each")


def _carry_out(options: argparse.Namespace, design: Design) -> int:
    from engine.catalog.joining import kerf_text
    from engine.design import system
    from engine.parts.takeoff import take_off
    from engine.report.parts import against_json, against_text, as_json, as_text
    from engine.units import parse

    spares = options.spares or 0.0
    if not 0.0 <= spares <= _MOST_SPARES:
        options.parser.error(f"--spares wants 0 to {_MOST_SPARES:g} per cent")
    if options.budget is not None:
        return _stages(options, design)
    kerf = parse(kerf_text(system(design)), "length").si
    found = take_off(design, spares=spares / 100, kerf=kerf, to_buy=options.to_buy)
    if options.against is None:
        left = take_off(design, spares=spares / 100, kerf=kerf, to_buy=True)
        tell(as_json(design, found) if options.json else as_text(design, found, left))
        return OK
    other = loaded(options.against)
    if other is None:
        return UNREADABLE
    others = take_off(other, spares=spares / 100, kerf=kerf)
    tell((against_json if options.json else against_text)(design, found, other, others))
    return OK


def _stages(options: argparse.Namespace, design: Design) -> int:
    from engine.parts.stages import MOST_BUDGET, stages
    from engine.report.stages import stages_json, stages_text

    if not 0.0 < options.budget <= MOST_BUDGET:
        options.parser.error(f"--budget wants more than 0, at most {MOST_BUDGET:g}")
    if options.spares is not None:
        options.parser.error("--spares has no use with --budget")
    found = stages(design, options.budget)
    tell((stages_json if options.json else stages_text)(design, options.budget, found))
    return OK


COMMAND = Command(
    name="parts",
    brief="what to buy, counted and priced",
    description="Count every part of a design by kind, stock and bores, with its price where the stock gives one.",
    statuses="0 done, 2 a file cannot be read",
    shares=(JSON,),
    options=_options,
    carry_out=_carry_out,
)
