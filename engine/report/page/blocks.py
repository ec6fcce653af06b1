"""What sheets are made of: words, lists, tables, drawings and cards. How they look is each writer's own."""

from __future__ import annotations

import re

from engine.values import dataclass

# To be filled in by hand.
BLANK = "________"
_NUMBER = re.compile(r"[-+]?\d[\d.,]*\s?%?|--|_+|")


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph; `weight` is "", "warning" for what must not be missed, or "small"."""

    text: str
    weight: str = ""


@dataclass(frozen=True, slots=True)
class Heading:
    """What the blocks behind it are about."""

    text: str


@dataclass(frozen=True, slots=True)
class Points:
    """A list; `numbered` where its order counts."""

    items: tuple[str, ...]
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells, as many as `heads`; `name` says what of."""

    name: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    @property
    def numeric(self) -> tuple[bool, ...]:
        """Of each column whether all its cells are bare numbers, or blanks for such."""
        columns = zip(*self.rows, strict=True) if self.rows else ((),) * len(self.heads)
        return tuple(all(_NUMBER.fullmatch(cell) for cell in column) for column in columns)


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing as the text of an SVG element, and the lines that stand for it where nothing can be drawn."""

    name: str
    svg: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Card:
    """Blocks that hang on a wall together, apart from others."""

    title: str
    blocks: tuple[Block, ...]


Block = Words | Heading | Points | Table | Drawing | Card
