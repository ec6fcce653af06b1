"""`kerfdraft draft`: layouts from where machines and collector stand, found, shown and written without a session."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from tui.command_line.files import OK, UNREADABLE
from tui.command_line.parser import JSON, Command, Parser, writing
from tui.command_line.taking import chosen, numbered_one, wrote
from tui.terminal.streams import complain, progress, tell

if TYPE_CHECKING:
    from engine.design import Design
    from engine.search.proposals import Proposal

# How large a picture is, columns and rows.
_PICTURE = 80, 44


def _options(parser: Parser) -> None:
    parser.add_argument("--sure", action="store_true", help="offer the best also in bores sure of every need: at the low side of what is known")
    parser.add_argument("--show", type=int, metavar="N", help="show instead one layout, by its number: plan, side view and parts")


def _carry_out(options: argparse.Namespace, design: Design) -> int:
    from engine.report.searches.drafts import as_json, as_text
    from engine.search.layouts.proposing import drafts

    if options.show is not None and options.json:
        options.parser.error("--show has no use with --json")
    progress("drafting layouts")
    for step in drafts(design, certain=options.sure):
        progress(f"{step.done} of {step.of} layouts: {step.said}")
        found = step.proposals
    progress("")
    if not found:
        complain(f"{options.file}: {step.said}")
        return UNREADABLE
    taken = chosen(options, found)
    if options.show is not None:
        tell(_shown(numbered_one(options, found, options.show)))
    else:
        tell((as_json if options.json else as_text)(design, found))
    return UNREADABLE if taken and not wrote(options, taken.design, taken.title) else OK


def _shown(one: Proposal) -> str:
    """One layout: what it is, its plan and side view, its parts."""
    from engine.catalog.joining import kerf_text
    from engine.checks.assess import assess
    from engine.design import system
    from engine.parts.takeoff import take_off
    from engine.report.parts import as_text
    from engine.report.pen import page, wrapped
    from engine.units import parse
    from tui.draw.glyphs import ASCII, LINE
    from tui.draw.lines import text_of
    from tui.panes.plan.sheet import picture

    glyphs = LINE if "utf" in (sys.stdout.encoding or "").lower() else ASCII
    rows = [text_of(spans).rstrip() for spans in picture(assess(one.design), *_PICTURE, glyphs)]
    parts = take_off(one.design, kerf=parse(kerf_text(system(one.design)), "length").si)
    return page([wrapped(f"{one.title}: {one.reason}"), rows, as_text(one.design, parts).splitlines()])


COMMAND = Command(
    name="draft",
    brief="layouts from machines and collector",
    description="Draft ducts from where machines and collector stand, in several ways, best first. Ducts that the design has are left out of it.",
    statuses="0 done, 2 the file cannot be read or written, or there is nothing to lay out",
    shares=(JSON, writing("that layout", "proposal")),
    options=_options,
    carry_out=_carry_out,
)
