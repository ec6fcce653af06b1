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


def as_html(title: str, head: Sequence[Block], sheets: Sequence[Made], source: str = "", date: str = "") -> str:
    """The page, HTML5; `head` stands over all sheets. Each printed page has the title, `source` and `date` on it, with the name of its sheet."""
    return _template().render(title=title, head=head, sheets=sheets, origin=", ".join(filter(None, (source, date))))


def _css_text(text: str) -> str:
    """A text as a string of CSS that nothing in it ends: all but ASCII letters, digits and spaces as their numbers (CSS Syntax 3, 4.3.7)."""
    safe = "".join(one if one.isascii() and (one.isalnum() or one == " ") else f"\\{ord(one):06x} " for one in printable(text))
    return f'"{safe}"'


@cache
def _template() -> Template:
    found = Environment(
        loader=FileSystemLoader(Path(__file__).parent), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
        finalize=lambda value: printable(value) if type(value) is str else value,
    )  # fmt: skip
    found.filters["drawn"] = Markup
    found.filters["css_text"] = lambda text: Markup(_css_text(text))
    found.filters["kind"] = lambda block: type(block).__name__
    return found.get_template("page.html.jinja")
