"""`kerfdraft placement`: where the collector could stand, found and written without a session."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from tui.command_line.files import OK, UNREADABLE
from tui.command_line.parser import JSON, Command, Parser, writing
from tui.command_line.taking import chosen, wrote
from tui.terminal.streams import complain, progress, tell

if TYPE_CHECKING:
    from engine.design import Design

_LEAST, _MOST = 0.1, 100.0  # m


def _options(parser: Parser) -> None:
    parser.add_argument("--spacing", metavar="LENGTH", help='how far apart the spots lie, such as "0.5 m" (default: 1 m or 3 ft)')


def _carry_out(options: argparse.Namespace, design: Design) -> int:
    from engine.report.searches.placement import as_json, as_text
    from engine.search.placement import NoStudy, placements

    spacing = _spacing(options)
    try:
        for study in placements(design, spacing=spacing):
            progress(f"{study.done} of {study.of} drafts")
    except NoStudy as reason:
        complain(f"{options.file}: {reason}")
        return UNREADABLE
    progress("")
    taken = chosen(options, study.proposals)
    tell((as_json if options.json else as_text)(design, study))
    return UNREADABLE if taken and not wrote(options, taken.design, taken.title) else OK


def _spacing(options: argparse.Namespace) -> float | None:
    """What --spacing says, m."""
    from engine.units import UnitError, parse

    if options.spacing is None:
        return None
    try:
        spacing = parse(options.spacing, "length").si
    except UnitError as error:
        options.parser.error(f"--spacing: {error}")
    if not _LEAST <= spacing <= _MOST:
        options.parser.error(f"--spacing: {options.spacing}; wanted is a length from {_LEAST:g} m to {_MOST:g} m")
    return spacing


COMMAND = Command(
    name="placement",
    brief="where the collector would stand best",
    description="Draft ducts from every spot of a grid and tell where the collector would stand best. Ducts that the design has are left out of it.",
    statuses="0 done, 2 the file cannot be read or written, or there is nothing to lay out",
    shares=(JSON, writing("the layout drafted from that spot", "proposal")),
    options=_options,
    carry_out=_carry_out,
)
