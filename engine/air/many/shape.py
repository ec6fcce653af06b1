"""The form that networks of one shape share: which ducts meet where, from the outermost places inward."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from itertools import groupby
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from engine.air.many.losses import Array
from engine.air.one.ducts import Leak
from engine.air.one.network import Tree
from engine.values import dataclass

Positions = NDArray[np.intp]
Bools = NDArray[np.bool_]

# Of each place: which legs of its joint are the straight; None where nothing is lost.
Kinds = tuple[tuple[bool, ...] | None, ...]


class Meeting(NamedTuple):
    """Places where equally many ducts meet. `at` (places,) are the ducts at whose outer ends they are, outermost first.

    `kids` (kids, places) are those that meet: first the legs, `slots` (places,
    legs) says which of the joint's; then leaks, of which `walls` gives the leg
    whose walls they are in. `jointed` tells whether anything may be lost there.
    """

    at: Positions
    kids: Positions
    slots: tuple[tuple[int, ...], ...]
    walls: tuple[int, ...]
    jointed: bool

    @property
    def legs(self) -> Positions:
        """The ducts that are legs, (legs, places)."""
        return self.kids[: len(self.slots[0])]


@dataclass(frozen=True, slots=True)
class Shape:
    """Ducts that carry air in some case, by `nodes`, their positions in the tree; the collector's, the last of the tree, is the last.

    `ends` are those that nothing joins; `feeds` (nodes, ends) is 1 where the
    air of an end passes a duct. `meetings` hold every place once; `inward` are
    their parts, so that whatever joins a place comes before it.
    """

    nodes: Positions
    ends: Positions
    feeds: Array
    meetings: tuple[Meeting, ...]
    inward: tuple[tuple[int, slice], ...]


def shape_of(trees: Sequence[Tree], alive: Bools) -> Shape:
    """The shape of what is `alive` (ducts,) in some case of `trees` of one shape; idle legs come along where leaks in their walls are alive."""
    first = trees[0]
    joints = list(first.joints)
    for tree in trees[1:]:
        if tree.joints is not first.joints:
            joints = [known or joint for known, joint in zip(joints, tree.joints, strict=True)]
    kinds = tuple([joint and tuple([terms.main for terms in joint.terms]) for joint in joints])
    parents = tuple((duct.parent, duct.wall if isinstance(duct, Leak) else -1) for duct in first.ducts)
    return _shape(parents, first.children, kinds, alive.tobytes())


@lru_cache(maxsize=64)
def _shape(parents: tuple[tuple[int, int], ...], children: tuple[tuple[int, ...], ...], kinds: Kinds, alive: bytes) -> Shape:
    lives = set(np.flatnonzero(np.frombuffer(alive, bool)).tolist())
    lives |= {wall for i, (_, wall) in enumerate(parents) if i in lives and wall >= 0}
    nodes = [*sorted(lives), len(parents)]
    joined = {node: tuple([kid for kid in children[node] if kid in lives]) for node in nodes}
    at = {node: position for position, node in enumerate(nodes)} | {-1: len(nodes) - 1}
    ends = [node for node in nodes if not joined[node]]
    feeds = np.zeros((len(nodes), len(ends)))
    for column, end in enumerate(ends):
        feeds[[at[node] for node in _inward(parents, end)], column] = 1.0
    depths = {node: len(_inward(parents, node)) for node in nodes}
    places = [_place(node, -depths[node], joined[node], parents, children, kinds) for node in nodes if joined[node]]
    places.sort(key=lambda place: place.outward)
    meetings: list[Meeting] = []
    inward: list[tuple[int, int, slice]] = []
    for alike in _groups(places, lambda place: (len(place.kids), place.walls, place.jointed)):
        begin = 0
        for level in _groups(alike, lambda place: place.outward):
            end = begin + len(level)
            inward.append((level[0].outward, len(meetings), slice(begin, end)))
            begin = end
        kids = np.array([[at[kid] for kid in place.kids] for place in alike], np.intp).T
        of_places = np.array([at[place.node] for place in alike], np.intp)
        meetings.append(Meeting(of_places, kids, tuple([place.slots for place in alike]), alike[0].walls, alike[0].jointed))
    inward.sort(key=lambda part: part[:2])
    positions = np.array(nodes, np.intp), np.array([at[end] for end in ends], np.intp)
    return Shape(*positions, feeds, tuple(meetings), tuple([part[1:] for part in inward]))


def _inward(parents: Sequence[tuple[int, int]], node: int) -> list[int]:
    """A duct and all on its way, the collector the last."""
    way = [node]
    while 0 <= way[-1] < len(parents):
        way.append(parents[way[-1]][0])
    return way


class _Place(NamedTuple):
    """One place, as in a `Meeting`; `outward` is the less the further out it is."""

    node: int
    outward: int
    kids: tuple[int, ...]
    slots: tuple[int, ...]
    walls: tuple[int, ...]
    jointed: bool


def _place(
    node: int, outward: int, joined: Sequence[int], parents: Sequence[tuple[int, int]], children: Sequence[tuple[int, ...]], kinds: Kinds
) -> _Place:
    slot, mains = children[node].index, kinds[node]
    legs = [kid for kid in joined if parents[kid][1] < 0]
    legs.sort(key=lambda kid: not (mains and mains[slot(kid)]))
    leaks = [kid for kid in joined if parents[kid][1] >= 0]
    walls = tuple([legs.index(parents[kid][1]) for kid in leaks])
    return _Place(node, outward, (*legs, *leaks), tuple([slot(kid) for kid in legs]), walls, mains is not None)


def _groups(places: Sequence[_Place], key: Callable[[_Place], Any]) -> list[list[_Place]]:
    """Places alike by a key, in the order they have."""
    return [list(some) for _, some in groupby(sorted(places, key=key), key)]
