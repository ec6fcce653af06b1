"""The network of a design for any choice of its sizes, and joints whose coefficients are held.

A duct hangs on its own size and that of what it joins, a joint on its own and
those of the runs that join: each is made once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from engine.air.duct_maker import DuctMaker
from engine.air.ducts import Duct
from engine.air.losses.junctions import Joint, momentum
from engine.air.network import Tree, compile_tree, joint_of
from engine.design import stock_sizes
from engine.search.sizing.plant.choices import Choice, Choices


@dataclass(frozen=True, slots=True)
class HeldJoint(Joint):
    """A joint whose legs lose so much times their own flow squared, Pa s2/m6, whatever the others carry."""

    squares: tuple[float, ...]


def held_or_momentum(joint: Joint, flows: Sequence[float]) -> tuple[list[float], list[list[float]]]:
    """Losses at a joint, Pa, and their Jacobian, Pa s/m3: of a `HeldJoint` by its squares, of any other by momentum."""
    if not isinstance(joint, HeldJoint):
        return momentum(joint, flows)
    slopes = [[0.0] * len(flows) for _ in flows]
    for i, (square, flow) in enumerate(zip(joint.squares, flows, strict=True)):
        slopes[i][i] = 2.0 * square * flow
    return [square * flow * flow for square, flow in zip(joint.squares, flows, strict=True)], slopes


class Networks:
    """Networks by choice. `held`, by run, are velocity pressures of its own that a run loses at its joint, in place of the flow-ratio law."""

    def __init__(self, choices: Choices, held: Mapping[str, float] | None = None) -> None:
        self._choices, self._held = choices, held
        self._maker = DuctMaker(stock_sizes(choices.design), choices.tree.ports, choices.tree.air)
        self._ducts: dict[tuple[int, int, int], Duct] = {}
        self._joints: dict[tuple[int, ...], Joint | None] = {}

    def tree_of(self, choice: Choice) -> Tree:
        """The network with these sizes."""
        runs, tree = range(len(choice)), self._choices.tree
        if tree.leaks:
            return compile_tree(self._choices.design_of(choice), before=tree)
        ducts = [self._duct(i, choice) for i in runs]
        return replace(tree, runs=tuple(ducts), joints=(*(self._joint(i, choice, ducts) for i in runs), None))

    def _duct(self, i: int, choice: Choice) -> Duct:
        parent = self._choices.parent[i]
        key = (i, choice[i], choice[parent] if parent >= 0 else -1)
        if key not in self._ducts:
            run = self._choices.options[i][choice[i]].run
            self._ducts[key] = self._maker.duct(run, parent, self._choices.inner_bore(i, choice))
        return self._ducts[key]

    def _joint(self, i: int, choice: Choice, ducts: list[Duct]) -> Joint | None:
        kids = self._choices.children[i]
        key = (i, choice[i], *(choice[kid] for kid in kids))
        if key not in self._joints:
            tree, runs = self._choices.tree, tuple(self._choices.options[kid][choice[kid]].run for kid in kids)
            joint = joint_of(runs, ducts[i], ducts, tree.index, tree.air)
            if joint and self._held is not None:
                joint = _hold(joint, [self._held.get(run.id, 0.0) for run in runs])
            self._joints[key] = joint
        return self._joints[key]


def _hold(joint: Joint, coefficients: Sequence[float]) -> HeldJoint:
    squares = tuple(k * joint.density / 2 / leg.area**2 for k, leg in zip(coefficients, joint.legs, strict=True))
    return HeldJoint(joint.density, joint.combined_area, joint.legs, squares)
