"""Items: lines of a pane that belong together, and what they say as cells to copy."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from dataclasses import field

from engine.checks import Finding
from engine.design.places import Place
from engine.values import dataclass
from tui.draw.lines import Line

Cells = tuple[str, ...]
Table = list[Cells]


@dataclass(frozen=True, slots=True)
class Fold:
    """Rows that Enter shows below their own, or takes away again; `of` is the same from one drawing to the next."""

    of: Hashable


@dataclass(frozen=True, slots=True)
class Item:
    """Lines that belong together. `leads` is where Enter goes: a place, an index, a finding, rows to unfold; None: it is only read.

    `below` makes the lines shown below while the item is under the cursor;
    `cells` is what it says, to copy.
    """

    lines: tuple[Line, ...]
    leads: Place | int | Finding | Fold | None = None
    below: Callable[[], Iterable[Line]] = field(default=tuple, compare=False)
    cells: Cells = ()

    @property
    def more(self) -> tuple[Line, ...]:
        """The lines shown below while it is under the cursor."""
        return tuple(self.below())
