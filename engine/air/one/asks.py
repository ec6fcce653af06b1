"""What a network is asked, and the answer of one that is solved by itself: `engine.air.many.solving` answers many at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from engine.air.losses.friction import colebrook
from engine.air.one.balance import NONE_THROTTLED, outer_ends
from engine.air.one.network import Tree
from engine.air.one.newton import NotConverged, settle

if TYPE_CHECKING:  # with NumPy, slow to load: not before it is wanted
    from engine.air.many.losses import Array

    Flows = Array | Sequence[float]


class Ask(NamedTuple):
    """What `engine.air.one.balance.solve` is asked: a network, its open ports, what is throttled.

    `near` are flows to start from, as `flows_of` gives them, of a network alike.
    """

    tree: Tree
    open_ports: tuple[str, ...]
    throttled: Mapping[str, float] = NONE_THROTTLED
    near: Flows | None = None


def flows_alone(ask: Ask) -> list[float] | None:
    """Flows [m3/s] of every duct, by position in its tree, the collector's last; None where there is no balance.

    Ports that would blow back are held at no flow. Raises KeyError for a port that is not connected.
    """
    tree = ask.tree
    ends, hindrance = outer_ends(tree, ask.open_ports, ask.throttled)
    # Where a curve rises, the answer could hang on the start.
    near = ask.near if ask.near is not None and tree.fan.falls else ()
    try:
        live, state = settle(tree, ends, hindrance, colebrook, list(near))
    except NotConverged:
        return None
    flows = [0.0] * (len(tree.ducts) + 1)
    for duct, flow in live.flows(state.q).items():
        flows[duct] = flow
    return flows
