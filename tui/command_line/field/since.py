"""The option that leaves out what was read before a day."""

from __future__ import annotations

import argparse
from datetime import date

from tui.command_line.parser import Parser


def since_option(parser: Parser) -> None:
    """Add it."""
    parser.add_argument("--since", metavar="DATE", help="only readings of that day and later, such as 2026-03-01")


def day(options: argparse.Namespace) -> date | None:
    """The day, None where none is given; another text ends the command with one line."""
    try:
        return date.fromisoformat(options.since) if options.since else None
    except ValueError:
        options.parser.error(f"--since {options.since!r} is not a date; wanted one such as 2026-03-01")
        raise
