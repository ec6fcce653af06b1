"""Where the flows of a gate set come from: the balance of the network, or the needs to which every gate is throttled."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import Protocol

import numpy as np

from engine.air.losses.junctions import momentum
from engine.air.many.losses import Array
from engine.air.many.solving import flows_of
from engine.air.one.asks import Ask
from engine.air.one.ducts import area
from engine.air.one.network import Tree
from engine.search.sizing.plant.choices import Choices
from engine.search.sizing.plant.rules import PLENTY, Answer, Rule, no_answer

# The index of a gate set, and a network with some choice of sizes.
Asked = tuple[int, Tree]


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

    def answers(self, asked: Sequence[Asked], rules: Sequence[Sequence[Rule]], /) -> list[Answer]:
        """Gate sets, each in a network with its sizes, held against their rules, which are by gate set."""


class Balanced:
    """Flows at which the network balances, with each gate as far open as the gate set says. `steady` where joints' coefficients are held."""

    scope = "with each joint's coefficient held at its average"

    def __init__(self, choices: Choices, share: float, *, steady: bool = False) -> None:
        self._choices, self.share, self.steady = choices, share, steady
        self._throttled = [{throttle.gate: throttle.open for throttle in one.throttle} for one in choices.sets]
        self._near: dict[int, Array] = {}  # the last of each gate set: where the next ones start

    @property
    def unprovable(self) -> str:
        """A curve that rises, and leaks: bores then help and hinder in no order."""
        if not self._choices.tree.fan.falls:
            return "the collector's curve rises"
        return "ducts or gates leak" if self._choices.leaks else ""

    def answers(self, asked: Sequence[Asked], rules: Sequence[Sequence[Rule]], /) -> list[Answer]:
        """As `Flows`, all of them solved in one call; where nothing balances, nothing is known."""
        flows = flows_of([Ask(tree, self._choices.open[at], self._throttled[at], self._near.get(at)) for at, tree in asked])
        alike: dict[int, list[int]] = {}
        for column, (at, _) in enumerate(asked):
            alike.setdefault(at, []).append(column)
        areas = _areas([tree for _, tree in asked])
        found: dict[int, Answer] = {}
        for at, columns in alike.items():
            known = [(column, each) for column in columns if (each := flows[column]) is not None]
            if known:
                self._near[at] = known[-1][1]
                solved, of_set = [column for column, _ in known], np.array([each for _, each in known]).T
                found |= zip(solved, self._judge(at, rules[at], of_set, areas[:, solved]), strict=True)
        return [found.get(column) or no_answer(rules[at]) for column, (at, _) in enumerate(asked)]

    def _judge(self, at: int, rules: Sequence[Rule], flows: Array, areas: Array) -> list[Answer]:
        """Flows (ducts, cases) of a gate set [m3/s] held against its rules, in runs of these areas (runs, cases) [m2]."""
        tree, speeds = self._choices.tree, flows[: len(areas)] / areas
        carrying = sorted({i for port in self._choices.open[at] for i in self._choices.way_to(port)})
        least = [rule for rule in rules if rule.kind == "least"]
        values = [flows[tree.leaf_of[rule.what]] if rule.kind == "least" else speeds[tree.index[rule.what]] for rule in rules]
        parts = np.array(values).reshape(len(rules), flows.shape[1]) / np.array([rule.bound for rule in rules])[:, None]
        by = np.where(np.array([rule.kind == "fast" for rule in rules], bool)[:, None], parts - 1.0, 1.0 - parts)
        shares = [flows[tree.leaf_of[rule.what]] / tree.ports[rule.what].needs.si for rule in least]
        share = np.array([np.full(flows.shape[1], PLENTY), *shares]).min(axis=0)
        broken: list[list[tuple[Rule, float]]] = [[] for _ in share]
        for column, row in zip(*map(np.ndarray.tolist, np.nonzero(by.T > 0.0)), strict=True):
            broken[column].append((rules[row], float(by[row, column])))
        tops = speeds[carrying].max(axis=0, initial=0.0).tolist()
        return [Answer(tuple(each), least, top, known=True) for each, least, top in zip(broken, share.tolist(), tops, strict=True)]


def _areas(trees: Sequence[Tree]) -> Array:
    """Of every run, (runs, trees), m2."""
    each = {id(tree): tree for tree in trees}
    bores = {key: [duct.speed_bore for duct in tree.runs] for key, tree in each.items()}
    of_all: Array = np.array([bores[id(tree)] for tree in trees]).T
    return np.pi / 4 * of_all**2


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

    def answers(self, asked: Sequence[Asked], rules: Sequence[Sequence[Rule]], /) -> list[Answer]:
        """As `Flows`."""
        return [self._answer(tree, rules[at]) for at, tree in asked]

    def _answer(self, tree: Tree, rules: Sequence[Rule]) -> Answer:
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
        return Answer(tuple(broken), min(shares), top, known=True)

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
