"""The sheets of a design, written to a file."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

from engine.design import Design
from engine.files.safe_files import reason, replace_file
from tui.work.document import Refused


def write_sheets(design: Design, source: str, path: Path, dropped: Callable[[], bool]) -> None:
    """Write all sheets of a design as a page of HTML, unless it is `dropped` meanwhile; `source` is what its file is called.

    Raises Refused; the file then holds what it held.
    """
    from engine.report.page.forms import written
    from engine.report.page.job import Job
    from engine.report.page.sheets import SHEETS

    page = written(Job(design, source, date.today()), SHEETS)
    if dropped():
        return
    try:
        replace_file(path, f"{page}\n".encode())
    except (OSError, ValueError) as error:
        raise Refused(f"{path.name}: not written: {reason(error)}") from None
