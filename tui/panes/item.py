"""Items: lines of a pane that belong together, and what they say as cells to copy."""

from __future__ import annotations

from dataclasses import dataclass

from engine.design.places import Place
from tui.draw.lines import Line

Cells = tuple[str, ...]
Table = list[Cells]


@dataclass(frozen=True, slots=True)
class Item:
    """Lines that belong together. `leads` is where Enter goes, a place or an index; None: it is only read.

    `more` are lines shown below while the item is under the cursor; `cells`
    is what it says, to copy.
    """

    lines: tuple[Line, ...]
    leads: Place | int | None = None
    more: tuple[Line, ...] = ()
    cells: Cells = ()
