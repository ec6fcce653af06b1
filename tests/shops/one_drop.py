"""A shop of one machine for the tests of the document, as its file would hold it. Invented data."""

from __future__ import annotations

from collections.abc import Hashable

from engine import edits
from engine.design import Design
from engine.design.places import PieceAt
from engine.files import design_file
from engine.units import parse
from tui.work.document import Document

TEXT = """format = 1
name = "small shop"

[collector]
inlet = "150 mm"
curve = [
    { flow = "0 m3/h", pressure = "2400 Pa" },
    { flow = "1000 m3/h", pressure = "2150 Pa" },
    { flow = "2600 m3/h", pressure = "0 Pa" },
]

[[stock]]
id = "pipe"
kind = "pipe"
material = "galvanised spiral"

[[stock.size]]
nominal = "125"
bore = "125 mm"

[[stock.size]]
nominal = "150"
bore = "150 mm"

[[machine]]
id = "saw"

[[machine.port]]
id = "hood"
bore = "100 mm"
needs = "600 m3/h"

[[run]]
id = "main"
joins = "collector"
size = "pipe/150"
pieces = [{ straight = "1 m" }, { straight = "2 m" }]

[[run]]
id = "drop"
joins = "main"
as = "branch"
size = "pipe/125"
pieces = [{ straight = "0.5 m" }]
ends = "saw/hood"

[[gate_set]]
name = "saw"
open = ["saw"]
"""


def design() -> Design:
    """The shop."""
    return design_file.loads(TEXT)


LENGTH = PieceAt(0, 0)


def set_length(document: Document, text: str, merge_key: Hashable = None) -> None:
    """Make the first straight of the main so long, as a step "length"."""
    after = edits.set_field(document.design, LENGTH, "length", parse(text, "length"))
    document.apply("length", after, LENGTH, merge_key)


def length(document: Document) -> float:
    """Length of that straight, m."""
    return document.design.runs[0].pieces[0].length.si
