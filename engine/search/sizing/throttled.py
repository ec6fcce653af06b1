"""Sizes for a shop that throttles every gate to its need: flows are then what is needed, and known beforehand."""

from __future__ import annotations

from math import sqrt

from engine.air.ducts import area, duct_loss
from engine.air.losses.junctions import momentum
from engine.air.network import Tree
from engine.design import Design, gate_sets_of
from engine.search.sizing.plant import Plant
from engine.search.sizing.rules import PLENTY, Answer, Rule
from engine.search.throttling import all_throttled, throttling


class ThrottledPlant(Plant):
    """A plant in which each port of a machine at work draws just its need.

    A port's rule holds where the collector has at least the pressure that its
    way takes then; its share is that of the flow which that pressure could drive.
    """

    share = 1.0

    def _solved(self, at: int, tree: Tree) -> Answer:
        wanted = {rule.what for rule in self.rules[at] if rule.kind == "least"}
        flows = [0.0] * len(self.runs)
        for port in wanted:
            for i in self.way_to(port):
                flows[i] += tree.ports[port].needs.si
        at_joints = self._joint_losses(tree, flows)
        supply = tree.fan.pressure(flows[0])[0]
        broken, shares = [], [PLENTY]
        for rule in self.rules[at]:
            if rule.kind == "least":
                taken = sum(duct_loss(tree.ducts[i], flows[i])[0] + at_joints[i] for i in self.way_to(rule.what))
                shares.append(sqrt(max(supply, 0.0) / taken) if taken > 0 else PLENTY)
                by = 1.0 - supply / taken if taken > 0 else 0.0
            else:
                i = tree.index[rule.what]
                if not flows[i]:
                    continue
                velocity = flows[i] / area(tree.ducts[i].bore)
                by = velocity / rule.limit - 1.0 if rule.kind == "fast" else 1.0 - velocity / rule.limit
            if by > 0.0:
                broken.append((rule, by))
        top = max(flow / area(duct.bore) for flow, duct in zip(flows, tree.ducts))
        return Answer(tuple(broken), min(shares), top, None)

    def _joint_losses(self, tree: Tree, flows: list[float]) -> list[float]:
        found = [0.0] * len(flows)
        for i, joint in enumerate(tree.joints[: len(flows)]):
            if joint is not None:
                for kid, loss in zip(self.children[i], momentum(joint, [flows[kid] for kid in self.children[i]])[0]):
                    found[kid] = loss
        return found

    @property
    def scope(self) -> str:
        """What a proof by cuts holds for."""
        return "at the flows needed"

    @property
    def unprovable(self) -> str:
        """Nothing: at flows that are known it needs no monotone network."""
        return ""

    def held(self, choice: tuple[int, ...]) -> Plant:
        """Itself: its flows do not hang on the joints."""
        return self

    def breaks(self, choice: tuple[int, ...], rule: Rule) -> bool:
        """Whether a choice breaks a rule."""
        return any(broken == rule for broken, _ in self.answer(choice, rule.gate_set).broken)


def with_gates_throttled(design: Design) -> Design:
    """The design with the gates of every set of several machines throttled so that each gets its need, where that can be."""
    several = [gate_set.name for gate_set in gate_sets_of(design) if len(gate_set.open) > 1]
    return all_throttled(design, [throttling(design, name) for name in several])
