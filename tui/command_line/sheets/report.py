"""`kerfdraft report`: the sheets for the wall, as a page of HTML, as text or as tables, without a session."""

from __future__ import annotations

import argparse
import os
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from tui.command_line.files import OK, UNREADABLE, why_not_written
from tui.command_line.parser import Command, Parser
from tui.terminal.streams import complain, tell

if TYPE_CHECKING:
    from engine.design import Design


def _options(parser: Parser) -> None:
    parser.add_argument("-o", dest="out", type=Path, metavar="OUT", help="write to OUT, a new file such as shop.html")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--text", action="store_true", help="as plain text that fits 80 columns")
    form.add_argument("--csv", action="store_true", help="the tables alone, as CSV")
    parser.add_argument("--pages", metavar="NAMES", help="these sheets alone, commas between, such as gates,cuts; a wrong name tells which there are")
    parser.add_argument("--force", action="store_true", help="replace OUT where it is there already; what it held is kept as OUT~")


def _carry_out(options: argparse.Namespace, design: Design) -> int:
    from engine.report.page.forms import written
    from engine.report.page.job import Job
    from engine.report.page.sheets import SheetError, picked

    try:
        sheets = picked(options.pages)
    except SheetError as reason:
        options.parser.error(str(reason))
    if options.force and options.out is None:
        options.parser.error("--force replaces OUT: wanted with -o OUT")
    form = "text" if options.text else "csv" if options.csv else "html"
    if options.out is None and form == "html":
        options.parser.error("wanted: -o OUT.html for the page, or --text, or --csv")
    if options.out is not None and (why := _why_not(options)):
        complain(f"{options.out}: {why}")
        return UNREADABLE
    told = written(Job(design, options.file.name, date.today()), sheets, form)
    if options.out is None:
        tell(told)
    elif not _wrote(options.out, told):
        return UNREADABLE
    return OK


def _why_not(options: argparse.Namespace) -> str | None:
    """Why OUT cannot be written, better said before the work than after it. A design is never replaced by its page."""
    out: Path = options.out
    there = out.exists()
    if there and out.samefile(options.file):
        return "that is the design itself; wanted: another name"
    if there and not options.force and out.is_file():
        return "there is such a file already; wanted: a name for a new one, or --force"
    return None if there and options.force else why_not_written(out)


def _wrote(out: Path, text: str) -> bool:
    """Whether a text could be written; where it lies is told."""
    from engine.files.safe_files import reason, replace_file
    from tui.terminal.over_ssh import where_it_lies

    try:
        replace_file(out, f"{text}\n".encode())
    except (OSError, ValueError) as error:
        complain(f"{out}: not written: {reason(error)}")
        return False
    tell("\n".join(["written to", *where_it_lies(out.absolute(), os.environ)]))
    return True


COMMAND = Command(
    name="report",
    brief="sheets for the wall: a page to print, text, tables",
    description="Write what a design has to tell as sheets to print: cautions, plan, air, parts, cuts, setting out, gate cards, test sheet, upkeep.",
    statuses="0 written, 2 the file cannot be read or written",
    shares=(),
    options=_options,
    carry_out=_carry_out,
)
