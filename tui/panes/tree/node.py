"""A node of the ducts pane's tree, headings of lists, and how to walk the tree."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from operator import attrgetter

from engine.design.places import Place, Rows
from engine.values import dataclass

Key = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Node:
    """One thing in the tree. `key` names it across edits; `folded` is how it starts; a shut node is shown dim."""

    place: Place
    key: Key
    label: str
    children: tuple[Node, ...] = ()
    columns: tuple[str, ...] = ()
    mark: str = ""
    shut: bool = False
    folded: bool = False


def walk(nodes: Iterable[Node], within: Callable[[Node], Iterable[Node]] = attrgetter("children")) -> Iterator[tuple[Node, int]]:
    """Nodes and what is `within` each, top first, with how deep each stands."""
    waiting = [(node, 0) for node in reversed([*nodes])]
    while waiting:
        node, depth = waiting.pop()
        yield node, depth
        waiting += ((child, depth + 1) for child in reversed([*within(node)]))


def heading(rows: Rows, title: str, children: tuple[Node, ...]) -> Node:
    """The heading of a list, with its rows."""
    return Node(rows, (title,), f"{title} ({len(children)})", children, folded=True)


def leaves(rows: Rows, labels: list[str]) -> tuple[Node, ...]:
    """The rows of a list."""
    return tuple(Node(rows.row(at), (*map(str, rows.steps), str(at)), label) for at, label in enumerate(labels))
