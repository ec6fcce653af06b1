"""Sheets as one page of HTML that loads nothing from anywhere, made to be printed on A4 and Letter.

Every text goes through the escaping of Jinja2; drawings are escaped where
they are made (`engine/report/page/svg.py`).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template
from markupsafe import Markup

from engine.report.page.blocks import Block
from engine.report.page.sheets import Made
from engine.units.printable import printable


def as_html(title: str, head: Sequence[Block], sheets: Sequence[Made]) -> str:
    """The page, HTML5; `head` stands over all sheets."""
    return _template().render(title=title, head=head, sheets=sheets)


@cache
def _template() -> Template:
    found = Environment(
        loader=FileSystemLoader(Path(__file__).parent), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
        finalize=lambda value: printable(value) if type(value) is str else value,
    )  # fmt: skip
    found.filters["drawn"] = Markup
    found.filters["kind"] = lambda block: type(block).__name__
    return found.get_template("page.html.jinja")
