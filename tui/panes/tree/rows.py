"""The rows of the ducts pane: which nodes of the tree are shown, and each as a line of text."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from engine.design.places import EndOf, JointOf, OfRun, PieceAt, Place, RunAt
from engine.units import unit_name
from engine.values import dataclass
from tui.draw.glyphs import Glyphs
from tui.draw.lines import Line, cut_apart, line, spread, width_of
from tui.panes.tree.node import Key, Node, walk

_MARK_ROLES = {"!": "fault", "*": "caution", "a": "accepted", "ok": "ok", "-": "dim"}
_MARK_CELLS = 3


@dataclass(frozen=True, slots=True)
class Row:
    """A node as shown: how deep it stands and whether its children are hidden (None: it has none)."""

    node: Node
    depth: int
    folded: bool | None


def is_folded(node: Node, flipped: Collection[Key]) -> bool:
    """Whether a node's children are hidden; `flipped` holds the keys of nodes that are not as they start."""
    return node.folded != (node.key in flipped)


def rows(nodes: tuple[Node, ...], flipped: Collection[Key] = (), wanted: str = "", *, pieces: bool = True) -> list[Row]:
    """The rows to show, top first. With a filter `wanted`: what contains it, and what that stands in.

    Without `pieces`: no joints, pieces and ports of runs, for an overview.
    """
    needle = wanted.casefold()
    found: list[Row] = []
    waiting = [(node, 0) for node in reversed(nodes)]
    while waiting:
        node, depth = waiting.pop()
        parts = node.children if pieces else tuple(child for child in node.children if not _part_of_run(child))
        folded = (not needle and is_folded(node, flipped)) if parts else None
        found.append(Row(node, depth, folded))
        if not folded:
            waiting += [(part, depth + 1) for part in reversed(parts)]
    return found if not needle else _containing(found, needle)


def _containing(found: list[Row], needle: str) -> list[Row]:
    """The rows that contain a text, with the pieces of a run that does, and those that they stand in."""
    holding = [row.node for row in found if holds(row, needle)]
    wanted = {id(node) for node in (*holding, *(part for node in holding for part in node.children if _part_of_run(part)))}
    kept: list[Row] = []
    for row in reversed(found):
        if id(row.node) in wanted or (kept and kept[-1].depth > row.depth):
            kept.append(row)
    return kept[::-1]


def holds(row: Row, wanted: str) -> bool:
    """Whether the label of a row contains a text."""
    return wanted.casefold() in row.node.label.casefold()


def _part_of_run(node: Node) -> bool:
    return isinstance(node.place, PieceAt | JointOf | EndOf)


def way_to(nodes: tuple[Node, ...], place: Place) -> tuple[Node, ...]:
    """The nodes from the top down to the one at `place`; empty where there is none."""
    way: list[Node] = []
    for node, depth in walk(nodes):
        way[depth:] = [node]
        if node.place == place:
            return tuple(way)
    return ()


def shows(shown: Iterable[Row], place: Place) -> bool:
    """Whether there is a row for a place."""
    return any(row.node.place == place for row in shown)


def count(nodes: Iterable[Node]) -> int:
    """How many nodes there are, and within them."""
    return sum(1 for _ in walk(nodes))


def worst_mark(node: Node) -> str:
    """Mark of a node and all it holds, for a row whose children are hidden."""
    marks = {held.mark for held, _ in walk((node,))}
    return next((mark for mark in ("!", "*", "a") if mark in marks), node.mark)


def column_widths(nodes: Iterable[Node]) -> tuple[int, int]:
    """Cells for the bore and the speed of every run, so that they stand below each other."""
    bore, speed = 3, 4
    for node, _ in walk(nodes, lambda node: [child for child in node.children if isinstance(child.place, RunAt)]):
        if isinstance(node.place, RunAt) and node.columns:
            bore, speed = max(bore, len(node.columns[0])), max(speed, len(node.columns[1]))
    return bore, speed


def column_heads(widths: tuple[int, int], units: str) -> str:
    """Units of the bores and speeds, to stand above them."""
    bore, speed = unit_name("bore", units), unit_name("speed", units)
    return f"  {bore:>{widths[0]}}  {speed:>{widths[1]}}   "


def cells(node: Node, units: str) -> tuple[str, ...]:
    """What a row says, to copy: label, numbers with their units, mark."""
    names = (unit_name("bore", units), unit_name("speed", units)) if isinstance(node.place, RunAt) else ("", "")
    numbers = (f"{text} {name}" if name and text[:1].isdigit() else text for text, name in zip(node.columns, names, strict=False))
    return tuple(filter(None, (node.label, *numbers, worst_mark(node))))


def row_line(row: Row, width: int, widths: tuple[int, int], glyphs: Glyphs, others: Iterable[str] = ()) -> Line:
    """A row in `width` cells: fold mark, label, told apart from `others`, then bore, speed and mark at the right."""
    node = row.node
    open_glyph, folded_glyph = glyphs.folds
    fold = " " if row.folded is None else folded_glyph if row.folded else open_glyph
    mark = node.mark if row.folded is False else worst_mark(node)
    body = "dim" if node.shut else "text"
    lead = " " * row.depth + fold + " "
    if isinstance(node.place, OfRun):
        right = "".join(f"  {column:>{size}}" for column, size in zip(node.columns, widths, strict=False))  # what runs are made of has none
    else:
        right = _what_fits(node.columns, width - width_of(line(lead, node.label)) - _MARK_CELLS)
    tail = line((right, body), (f"{mark:>{_MARK_CELLS}}" if mark or right else "", _MARK_ROLES.get(mark, "text")))
    room = width - sum(len(text) for text, _ in tail)
    label = cut_apart(node.label, others, room - len(lead), glyphs)
    return spread(line((lead + label, body)), tail, width, glyphs)


def _what_fits(columns: tuple[str, ...], room: int) -> str:
    """The last of the columns that fit in `room` cells, with their gaps."""
    right = "".join(f"  {column}" for column in columns)
    return right if not columns or len(right) <= room else _what_fits(columns[1:], room)
