"""`kerfdraft placement` and `kerfdraft draft`: where the collector could stand, and first layouts, without a session."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from tui.command_line.files import OK, UNREADABLE, complain, loaded, written

if TYPE_CHECKING:
    from engine.design import Design
    from engine.search.proposals import Proposal

NAMES = ("placement", "draft")


def run(name: str, arguments: Sequence[str], parser_class: type[argparse.ArgumentParser]) -> int:
    """Carry out one of NAMES; the exit status."""
    parser = parser_class(prog=f"kerfdraft {name}")
    parser.epilog = "exit status: 0 done, 2 the file cannot be read or written, or there is nothing to lay out"
    {"placement": _placement_options, "draft": _draft_options}[name](parser)
    options = parser.parse_args(arguments)
    if options.take is not None and options.write is None:
        parser.error("--take says which proposal --write OUT writes")
    design = loaded(options.file)
    if design is None:
        return UNREADABLE
    return {"placement": _placement, "draft": _draft}[name](parser, options, design)


def _placement_options(parser: argparse.ArgumentParser) -> None:
    parser.description = "Draft ducts from every spot of a grid and tell where the collector would stand best."
    parser.add_argument("file", type=Path, metavar="FILE", help="design with machines and a collector; its ducts are left out of it")
    parser.add_argument("--spacing", metavar="LENGTH", help='how far apart the spots lie, such as "0.5 m" (default: 1 m or 3 ft)')
    parser.add_argument("--json", action="store_true", help="print the results in SI base units as JSON")
    parser.add_argument("--take", type=int, metavar="N", help="number of the spot to write (default: 1)")
    parser.add_argument("--write", type=Path, metavar="OUT", help="write the design drafted from that spot to OUT")


def _draft_options(parser: argparse.ArgumentParser) -> None:
    parser.description = "Draft ducts from where machines and collector stand, in several ways, best first."
    parser.add_argument("file", type=Path, metavar="FILE", help="design with machines and a collector; its ducts are left out of it")
    parser.add_argument("--take", type=int, metavar="N", help="number of the layout to write (default: 1)")
    parser.add_argument("--write", type=Path, metavar="OUT", help="write the design with that layout to OUT")


def _placement(parser: argparse.ArgumentParser, options: argparse.Namespace, design: Design) -> int:
    from engine.report.placement import as_json, as_text
    from engine.search.placement import NoStudy, placements

    spacing = _spacing(parser, options.spacing)
    try:
        for study in placements(design, spacing=spacing):
            _progress(f"{study.done} of {study.of} spots")
    except NoStudy as reason:
        complain(f"{options.file}: {reason}")
        return UNREADABLE
    _progress("")
    _check_take(parser, options, study.proposals)
    print((as_json if options.json else as_text)(design, study))
    return _taken(options, study.proposals, quiet=options.json)


def _draft(parser: argparse.ArgumentParser, options: argparse.Namespace, design: Design) -> int:
    from engine.report.drafts import as_text
    from engine.search.layouts.drafting import drafts

    for step in drafts(design):
        found = step.proposals
    if not found:
        complain(f"{options.file}: {step.said}: there is nothing to lay out")
        return UNREADABLE
    _check_take(parser, options, found)
    print(as_text(design, found))
    return _taken(options, found)


def _spacing(parser: argparse.ArgumentParser, text: str | None) -> float | None:
    from engine.units import UnitError, parse

    if text is None:
        return None
    try:
        spacing = parse(text, "length").si
    except UnitError as error:
        parser.error(f"--spacing: {error}")
    if not 0.1 <= spacing <= 100.0:
        parser.error(f"--spacing: {text}; wanted is a length from 0.1 m to 100 m")
    return spacing


def _check_take(parser: argparse.ArgumentParser, options: argparse.Namespace, found: Sequence[Proposal]) -> None:
    if options.take is not None and not 1 <= options.take <= len(found):
        parser.error(f"there is no proposal {options.take}: {len(found)} {'was' if len(found) == 1 else 'were'} found")


def _taken(options: argparse.Namespace, found: Sequence[Proposal], *, quiet: bool = False) -> int:
    if not options.write:
        return OK
    one = found[(options.take or 1) - 1]
    if not written(one.design, options.write):
        return UNREADABLE
    if not quiet:
        print(f"\nwritten to {options.write}: {one.title}")
    return OK


def _progress(text: str) -> None:
    """Say how far it has come, on a terminal, over what was said before."""
    if sys.stderr.isatty():
        print(f"\r{text}\x1b[K", end="", file=sys.stderr, flush=True)
