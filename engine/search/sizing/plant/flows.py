"""Where the flows of a gate set come from: the balance of the network, or the needs to which every gate is throttled."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import Protocol

from engine.air.balance import Balance, solve
from engine.air.ducts import area
from engine.air.live import JointLaw
from engine.air.losses.junctions import momentum
from engine.air.network import Tree
from engine.air.newton import NotConverged
from engine.search.sizing.plant.choices import Choices
from engine.search.sizing.plant.rules import PLENTY, Answer, Rule, judge, no_answer


class Flows(Protocol):
    """How a gate set is answered for.

    `share` of its need is what a machine is to get. `scope` says what a proof
    by cuts holds for, `unprovable` why none does here, or nothing. `steady`:
    whether they rise and fall with bores only, so that a proof holds of them
    as they are.
    """

    share: float
    scope: str
    steady: bool

    @property
    def unprovable(self) -> str:
        """In words."""

    def answer(self, at: int, tree: Tree, rules: Sequence[Rule], /) -> Answer:
        """The gate set at an index, in a network with its sizes, held against its rules."""


class Balanced:
    """Flows at which the network balances, with each gate as far open as the gate set says. `steady` where `law` holds joints' coefficients."""

    scope = "with each joint's coefficient held at its average"

    def __init__(self, choices: Choices, share: float, *, law: JointLaw = momentum, steady: bool = False) -> None:
        self._choices, self.share, self._law, self.steady = choices, share, law, steady
        self._near: dict[int, Balance] = {}  # the last of each gate set: where the next one starts

    @property
    def unprovable(self) -> str:
        """A curve that rises, and leaks: bores then help and hinder in no order."""
        if not self._choices.tree.fan.falls:
            return "the collector's curve rises"
        return "ducts or gates leak" if self._choices.leaks else ""

    def answer(self, at: int, tree: Tree, rules: Sequence[Rule], /) -> Answer:
        """As `Flows`; where nothing balances, nothing is known."""
        throttled = {throttle.gate: throttle.open for throttle in self._choices.sets[at].throttle}
        try:
            balance = solve(tree, self._choices.open[at], throttled=throttled, joints=self._law, near=self._near.get(at))
        except NotConverged:
            return no_answer(rules)
        self._near[at] = balance
        return judge(rules, balance)


class Needed:
    """Flows that the machines at work are to get, a share of their need, since every gate is throttled to that.

    A port's rule holds where the collector has at least the pressure that its
    way takes then; its share is that of the flow which that pressure could drive.
    """

    scope = "at the flows needed"
    unprovable = ""
    steady = True

    def __init__(self, choices: Choices, share: float) -> None:
        self._choices, self.share = choices, share

    def answer(self, _at: int, tree: Tree, rules: Sequence[Rule], /) -> Answer:
        """As `Flows`."""
        flows = self._flows(tree, [rule.what for rule in rules if rule.kind == "least"])
        at_joints = self._joint_losses(tree, flows)
        supply = tree.fan.pressure(flows[0])[0]
        broken, shares = [], [PLENTY]
        for rule in rules:
            if rule.kind == "least":
                taken = sum(tree.runs[i].loss(flows[i])[0] + at_joints[i] for i in self._choices.way_to(rule.what))
                shares.append(self.share * sqrt(max(supply, 0.0) / taken) if taken > 0 else PLENTY)
                by = 1.0 - supply / taken if taken > 0 else 0.0
            else:
                i = tree.index[rule.what]
                by = rule.miss(flows[i] / area(tree.runs[i].bore)) if flows[i] else 0.0
            if by > 0.0:
                broken.append((rule, by))
        top = max(flow / area(duct.bore) for flow, duct in zip(flows, tree.runs, strict=True))
        return Answer(tuple(broken), min(shares), top, known=True, balance=None)

    def _flows(self, tree: Tree, ports: Sequence[str]) -> list[float]:
        """What each run carries, m3/s, while these ports draw their share."""
        flows = [0.0] * len(self._choices.runs)
        for port in ports:
            for i in self._choices.way_to(port):
                flows[i] += self.share * tree.ports[port].needs.si
        return flows

    def _joint_losses(self, tree: Tree, flows: list[float]) -> list[float]:
        """What each run loses at its inner end, Pa."""
        found = [0.0] * len(flows)
        for kids, joint in zip(self._choices.children, tree.joints, strict=False):
            if joint is not None:
                for kid, loss in zip(kids, momentum(joint, [flows[kid] for kid in kids])[0], strict=True):
                    found[kid] = loss
        return found
