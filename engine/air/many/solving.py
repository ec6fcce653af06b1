"""Many networks, or one with many gate sets, solved in one call: the flows that `engine.air.balance.solve` finds one by one.

Networks of one shape, the same tree with other bores, losses, openings,
collectors or leaks, go over arrays together. Those that full steps do not bring
into balance are solved by themselves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from engine.air.balance import NONE_THROTTLED, Balance, flows_near, outer_ends, solve
from engine.air.many.losses import Array
from engine.air.many.newton import Cases, settle
from engine.air.network import Tree
from engine.air.newton import NotConverged


class Ask(NamedTuple):
    """What `engine.air.balance.solve` is asked: a network, its open ports, what is throttled, and a balance to start from."""

    tree: Tree
    open_ports: tuple[str, ...]
    throttled: Mapping[str, float] = NONE_THROTTLED
    near: Balance | None = None


def flows_of(asks: Sequence[Ask]) -> list[Array | None]:
    """Flows [m3/s] of every duct, by position in its tree, the collector's last, for each ask; None where there is no balance.

    Ports that would blow back are held at no flow. Raises KeyError for a port that is not connected.
    """
    alike: dict[object, list[int]] = {}
    for at, ask in enumerate(asks):
        alike.setdefault(_form(ask.tree), []).append(at)
    found: list[Array | None] = [None] * len(asks)
    for these in alike.values():
        for at, flows in zip(these, _of_one_shape([asks[at] for at in these]), strict=True):
            found[at] = flows
    return found


def _form(tree: Tree) -> object:
    """What networks of one shape have in common."""
    return tree.children, tuple([leak.wall for leak in tree.leaks])


def _of_one_shape(asks: Sequence[Ask]) -> list[Array | None]:
    cases = cases_of(asks)
    settled = settle(cases)
    return [flows if balanced else _alone(ask) for ask, flows, balanced in zip(asks, settled.flows.T, settled.balanced.tolist(), strict=True)]


def cases_of(asks: Sequence[Ask]) -> Cases:
    """The asks as columns; their networks are of one shape."""
    trees: list[Tree] = []
    known: dict[int, int] = {}
    of = np.empty(len(asks), np.intp)
    rows = len(asks[0].tree.ducts)
    ends, hindrance, near = np.zeros((rows, len(asks)), bool), np.zeros((rows, len(asks))), np.zeros((rows + 1, len(asks)))
    opened: dict[tuple[object, ...], tuple[list[int], Mapping[int, float]]] = {}
    flows: dict[tuple[int, bool], tuple[float, ...]] = {}
    for column, ask in enumerate(asks):
        tree = ask.tree
        if id(tree) not in known:
            known[id(tree)] = len(trees)
            trees.append(tree)
        of[column] = known[id(tree)]
        # Networks made from one another share what says where gates stand.
        asked = (id(tree.gates_to), id(tree.leaks), tree.shut_gate, tree.air, ask.open_ports, *ask.throttled.items())
        if asked not in opened:
            opened[asked] = outer_ends(tree, ask.open_ports, ask.throttled)
        open_ends, added = opened[asked]
        ends[open_ends, column] = True
        for duct, more in added.items():
            hindrance[duct, column] = more
        if (start := (id(ask.near), tree.fan.falls)) not in flows:
            flows[start] = flows_near(tree, ask.near)
        if flows[start]:
            near[:, column] = flows[start]
    return Cases(trees, of, ends, hindrance if hindrance.any() else None, near if near.any() else None)


def _alone(ask: Ask) -> Array | None:
    try:
        return np.array(solve(ask.tree, ask.open_ports, throttled=ask.throttled, near=ask.near).flows)
    except NotConverged:
        return None
