"""Sheets as plain text of 80 columns, and their tables as CSV."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence

from engine.report.page.blocks import Block, Card, Drawing, Heading, Points, Table, Words
from engine.report.page.sheets import Made
from engine.report.pen import WIDTH, side_by_side, wrapped
from engine.units.printable import printable

_GAP = 2
_LEAST = 6
# What a spreadsheet would take for a formula; a bare number is none.
_FORMULA = re.compile(r"[=@\t\r]|[-+](?![\d.,]*$)")


def as_text(title: str, head: Sequence[Block], sheets: Sequence[Made]) -> str:
    """A title, the head and the sheets in lines of at most 80 columns."""
    lines = [*wrapped(printable(title)), "", *_blocks(head)]
    for number, sheet in enumerate(sheets, 1):
        lines += ["", "=" * WIDTH, *wrapped(f"{number}. {sheet.title}"), "", *_blocks(sheet.blocks)]
    return "\n".join(line.rstrip() for line in lines)


def _blocks(blocks: Iterable[Block]) -> Iterator[str]:
    for number, block in enumerate(blocks):
        if number:
            yield ""
        yield from _lines(block)


def _lines(block: Block) -> Iterator[str]:
    match block:
        case Words(text, weight):
            told = printable(text)
            yield from wrapped(f"! {told}") if weight == "warning" else side_by_side((told, WIDTH))
        case Heading(text):
            yield from wrapped(printable(text))
            yield "-" * min(len(text), WIDTH)
        case Points(items, numbered):
            for number, item in enumerate(items, 1):
                yield from wrapped(printable(f"{number}. {item}" if numbered else f"- {item}"))
        case Table():
            yield from _table(block)
        case Drawing(name, _, lines):
            yield from wrapped(printable(name))
            yield from map(printable, lines)
        case Card(title, blocks):
            yield from wrapped(f"[ {printable(title)} ]")
            yield from _blocks(blocks)


def _table(table: Table) -> Iterator[str]:
    """A table in columns as wide as they need, the widest made narrower where all together are too wide."""
    rows = [tuple(map(printable, row)) for row in (table.heads, *table.rows)]
    widths = [max(1, *map(len, column)) for column in zip(*rows, strict=True)]
    while sum(widths) + _GAP * (len(widths) - 1) > WIDTH and max(widths) > _LEAST:
        widths[widths.index(max(widths))] -= 1
    if table.name:
        yield from wrapped(printable(table.name))
    for number, row in enumerate(rows):
        cells = [f"{cell:>{width}}" if numeric else cell for cell, width, numeric in zip(row, widths, table.numeric, strict=True)]
        yield from side_by_side(*zip(cells, widths, strict=True))
        if number == 0:
            yield (" " * _GAP).join("-" * width for width in widths)


def as_csv(head: Sequence[Block], sheets: Sequence[Made]) -> str:
    """The warnings of the head, then every table of the sheets behind a line with its sheet and its name, an empty line between; RFC 4180."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    tables = [((sheet.title, table.name), table.heads, *table.rows) for sheet in sheets for table in _tables(sheet.blocks)]
    warnings = [((block.text,) for block in head if isinstance(block, Words) and block.weight == "warning")]
    for number, rows in enumerate((*warnings, *tables)):
        if number:
            writer.writerow([])
        for row in rows:
            writer.writerow([f"'{cell}" if _FORMULA.match(cell) else cell for cell in map(printable, row)])
    return out.getvalue().rstrip("\n")


def _tables(blocks: Iterable[Block]) -> Iterator[Table]:
    """Tables, those of cards with the card's title."""
    for block in blocks:
        if isinstance(block, Table):
            yield block
        elif isinstance(block, Card):
            for table in _tables(block.blocks):
                yield Table(f"{block.title}: {table.name}" if table.name else block.title, table.heads, table.rows)
