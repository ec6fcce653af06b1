"""Many networks, or one with many gate sets, solved in one call: the flows that `engine.air.one.balance.solve` finds one by one.

Networks of one shape, the same tree with other bores, losses, openings,
collectors or leaks, go over arrays together. Those that full steps do not bring
into balance are solved by themselves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from engine.air.many.losses import Array
from engine.air.many.newton import Cases, settle
from engine.air.one.asks import Ask, flows_alone
from engine.air.one.balance import outer_ends
from engine.air.one.network import Tree

# So few asks, or asks of so few open ports together, are as quick one by one.
_FEW, _FEW_PORTS = 8, 64


def flows_of(asks: Sequence[Ask]) -> list[Array | None]:
    """Flows [m3/s] of every duct, by position in its tree, the collector's last, for each ask; None where there is no balance.

    Ports that would blow back are held at no flow. Raises KeyError for a port that is not connected.
    """
    if len(asks) < _FEW or sum([len(ask.open_ports) for ask in asks]) < _FEW_PORTS:
        return [_alone(ask) for ask in asks]
    found: list[Array | None] = [None] * len(asks)
    for these in alike(asks):
        settled = settle(cases_of([asks[at] for at in these]))
        for at, flows, balanced in zip(these, settled.flows.T, settled.balanced.tolist(), strict=True):
            found[at] = flows if balanced else _alone(asks[at])
    return found


def alike(asks: Sequence[Ask]) -> list[list[int]]:
    """Which asks are of networks of one shape."""
    forms: dict[int, object] = {}
    found: dict[object, list[int]] = {}
    for at, ask in enumerate(asks):
        if id(ask.tree) not in forms:
            forms[id(ask.tree)] = (ask.tree.children, tuple([leak.wall for leak in ask.tree.leaks]))
        found.setdefault(forms[id(ask.tree)], []).append(at)
    return list(found.values())


def cases_of(asks: Sequence[Ask]) -> Cases:
    """The asks as columns; their networks are of one shape."""
    trees: list[Tree] = []
    known: dict[int, int] = {}
    of = np.empty(len(asks), np.intp)
    rows = len(asks[0].tree.ducts)
    ends, hindrance, near = np.zeros((rows, len(asks)), bool), np.zeros((rows, len(asks))), np.zeros((rows + 1, len(asks)))
    opened: dict[tuple[object, ...], tuple[list[int], Mapping[int, float]]] = {}
    for column, ask in enumerate(asks):
        tree = ask.tree
        if id(tree) not in known:
            known[id(tree)] = len(trees)
            trees.append(tree)
        of[column] = known[id(tree)]
        # Networks made from one another share what says where gates stand; what a gate adds hangs on its bore too.
        own = id(tree) if ask.throttled or tree.shut_gate else None
        asked = (id(tree.gates_to), id(tree.leaks), own, ask.open_ports, *ask.throttled.items())
        if asked not in opened:
            opened[asked] = outer_ends(tree, ask.open_ports, ask.throttled)
        open_ends, added = opened[asked]
        ends[open_ends, column] = True
        for duct, more in added.items():
            hindrance[duct, column] = more
        # Where a curve rises, the answer could hang on the start.
        if ask.near is not None and tree.fan.falls:
            near[:, column] = ask.near
    return Cases(trees, of, ends, hindrance if hindrance.any() else None, near if near.any() else None)


def _alone(ask: Ask) -> Array | None:
    flows = flows_alone(ask)
    return None if flows is None else np.array(flows)
