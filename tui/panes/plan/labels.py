"""Where names stand on a plan: beside what they name, over nothing that is drawn, never over each other."""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Set as AbstractSet

from rich.cells import cell_len

from engine.values import dataclass
from tui.draw.glyphs import Glyphs
from tui.draw.lines import cut

Cell = tuple[int, int]
_SHORTEST = 4
# What speaks against a place: that it touches a line, covers ground, or stands nearer to the symbol of something else.
_TOUCHES, _ON_GROUND, _MISLEADS = 4, 4, 8


@dataclass(frozen=True, slots=True)
class Label:
    """A text that wants to stand beside one of some cells. One that must be `whole` is left out rather than cut or crowded."""

    text: str
    beside: tuple[Cell, ...]
    role: str = "text"
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Placed:
    """A text where it stands."""

    text: str
    x: int
    y: int
    role: str

    @property
    def cells(self) -> tuple[Cell, ...]:
        """The cells it covers."""
        return tuple((self.x + at, self.y) for at in range(cell_len(self.text)))


@dataclass(frozen=True, slots=True)
class Around:
    """What labels have to keep off: a drawing of `width` by `height`, its `taken` cells, its ground, and the symbols that have names."""

    width: int
    height: int
    taken: AbstractSet[Cell]
    ground: AbstractSet[Cell] = frozenset()
    symbols: AbstractSet[Cell] = frozenset()


def place_labels(labels: list[Label], around: Around, glyphs: Glyphs) -> list[Placed]:
    """Place labels, the first ones first.

    None covers a cell that is taken, nor touches another one in its row; each
    has the place that least speaks against. One that has no room is cut, or
    left out.
    """
    held: set[Cell] = set()
    found: list[Placed] = []
    for label in labels:
        if placed := _placed(label, around, held, glyphs):
            found.append(placed)
            held.update(placed.cells)
    return found


def _placed(label: Label, around: Around, held: AbstractSet[Cell], glyphs: Glyphs) -> Placed | None:
    for text in _texts(label, glyphs):
        size, best = cell_len(text), None
        for cell in label.beside:
            for cost, x, y in _places(cell, size):
                if best is not None and cost >= best[0]:
                    continue
                against = _against(x, y, size, cell, around, held)
                if against is not None and not (label.whole and against) and (best is None or cost + against < best[0]):
                    best = cost + against, x, y
        if best:
            return Placed(text, best[1], best[2], label.role)
    return None


def _against(x: int, y: int, size: int, own: Cell, around: Around, held: AbstractSet[Cell]) -> int | None:
    """What speaks against a place, None where it cannot be had."""
    if x < 0 or y < 0 or y >= around.height or x + size > around.width:
        return None
    cells = {(at, y) for at in range(x, x + size)}
    edges = {(x - 1, y), (x + size, y)}
    if not cells.isdisjoint(around.taken) or not cells.isdisjoint(held) or not edges.isdisjoint(held):
        return None
    near = edges | {(x - 2, y), (x + size + 1, y)}
    return (
        _TOUCHES * (not edges.isdisjoint(around.taken))
        + _ON_GROUND * (not cells.isdisjoint(around.ground))
        + _MISLEADS * any(cell != own and cell in around.symbols for cell in near)
    )


def _texts(label: Label, glyphs: Glyphs) -> Iterator[str]:
    """The text, and what is left of it where there is no room."""
    yield label.text
    if not label.whole:
        for size in range(cell_len(label.text) - 1, _SHORTEST - 1, -2):
            yield cut(label.text, size, glyphs)


def _places(cell: Cell, size: int) -> Iterator[tuple[int, int, int]]:
    """(cost, x, y) of where a text of `size` cells may begin: to the right, to the left, below, above."""
    x, y = cell
    yield 0, x + 2, y
    yield 3, x - size - 1, y
    for cost, row in ((4, y + 1), (5, y - 1)):
        for begin in (x - size // 2, x, x - size + 1):
            yield cost, begin, row
        yield cost + 2, x + 2, row
        yield cost + 2, x - size - 1, row
