"""The network of a design for any choice of its sizes, its joints by their law or with coefficients that are held.

A duct hangs on its own size and that of what it joins, a joint on its own and
those of the runs that join: each is made once.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cached_property

from engine.air.losses.junctions import Joint
from engine.air.one.duct_maker import DuctMaker, Lean
from engine.air.one.ducts import Duct, area
from engine.air.one.network import Tree, compile_tree, joint_of
from engine.design import stock_sizes, tuning_of
from engine.search.sizing.plant.choices import Choice, Choices


class Networks:
    """Networks by choice. `held`, by run, are velocity pressures of its own that a run loses at its joint, in place of the flow-ratio law."""

    def __init__(self, choices: Choices, held: Mapping[str, float] | None = None) -> None:
        self._choices, self._held = choices, held
        self._maker = DuctMaker(stock_sizes(choices.design), choices.tree.ports, choices.tree.air, Lean(tuned=tuning_of(choices.design)))
        self._ducts: dict[tuple[int, int, int], Duct] = {}
        self._joints: dict[tuple[int, ...], Joint | None] = {}

    def tree_of(self, choice: Choice) -> Tree:
        """The network with these sizes."""
        runs, tree = range(len(choice)), self._choices.tree
        if tree.leaks:
            return compile_tree(self._choices.design_of(choice), before=tree)
        ducts = [self._duct(i, choice) for i in runs]
        if self._held is not None:
            return replace(tree, runs=tuple(ducts), joints=self._lossless)
        return replace(tree, runs=tuple(ducts), joints=(*[self._joint(i, choice, ducts) for i in runs], None))

    def _duct(self, i: int, choice: Choice) -> Duct:
        parent = self._choices.parent[i]
        key = (i, choice[i], choice[parent] if parent >= 0 else -1)
        if key not in self._ducts:
            run = self._choices.options[i][choice[i]].run
            duct = self._maker.duct(run, parent, self._choices.inner_bore(i, choice))
            self._ducts[key] = duct if self._held is None else self._with_joint(duct, self._held.get(run.id, 0.0))
        return self._ducts[key]

    @cached_property
    def _lossless(self) -> tuple[Joint | None, ...]:
        """Joints that take nothing: what they cost is in the ducts."""
        return tuple(joint and replace(joint, legs=tuple(replace(leg, coefficient=0.0) for leg in joint.legs)) for joint in self._choices.tree.joints)

    def _with_joint(self, duct: Duct, held: float) -> Duct:
        """A duct that loses velocity pressures of its own at its joint, whatever the others there carry."""
        dynamic = self._choices.tree.air.density / 2 / area(duct.bore) ** 2
        return duct if duct.parent < 0 else replace(duct, square=duct.square + held * dynamic)

    def _joint(self, i: int, choice: Choice, ducts: list[Duct]) -> Joint | None:
        kids = self._choices.children[i]
        key = (i, choice[i], *(choice[kid] for kid in kids))
        if key not in self._joints:
            tree, runs = self._choices.tree, tuple(self._choices.options[kid][choice[kid]].run for kid in kids)
            self._joints[key] = joint_of(runs, ducts[i], ducts, tree.index, tree.air)
        return self._joints[key]
