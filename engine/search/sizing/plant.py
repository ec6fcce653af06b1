"""A design whose sizes are open: its network for any choice of sizes, and what each choice gives and costs.

A choice is a tuple, for every run in tree order the index of one of its
options. What was solved for some sizes is kept: another choice in which the
ways of a gate set have the same sizes has the same answer there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from engine.air.balance import Balance, NotConverged, solve, velocity_pressure
from engine.air.ducts import Duct, DuctMaker
from engine.air.losses.junctions import Joint, Leg, momentum
from engine.air.network import Tree, compile_tree, gates_for, joint_of, open_ports
from engine.checks.look import Look, look_at
from engine.checks.rules import limit
from engine.design import Design, GateSet, Run, bore_of, children_of, gate_sets_of, stock_sizes
from engine.edits.resizing import resized
from engine.search.price import RunPrice, by_surface, run_price, wants_reducer
from engine.search.sizing.rules import Answer, Rule, judged

Choice = tuple[int, ...]
_SAME_BORE = 1e-5


@dataclass(frozen=True, slots=True)
class Option:
    """One size a run may have: its reference, None for the bore the run has; the run made of it, and what it costs."""

    ref: str | None
    bore: float
    run: Run
    price: RunPrice


@dataclass(frozen=True, slots=True)
class FixedJoint:
    """A joint whose legs lose so much times their own flow squared, whatever the others carry."""

    legs: tuple[Leg, ...]
    squares: tuple[float, ...]


def fixed(joint: FixedJoint, flows: Sequence[float]) -> tuple[list[float], list[list[float]]]:
    """Losses at a `FixedJoint` and their Jacobian, in place of the flow-ratio law."""
    slopes = [[0.0] * len(flows) for _ in flows]
    for i, (square, flow) in enumerate(zip(joint.squares, flows)):
        slopes[i][i] = 2.0 * square * flow
    return [square * flow * flow for square, flow in zip(joint.squares, flows)], slopes


class Plant:
    """See the module.

    Runs through which no gate set draws keep their size. Where a size that may
    be chosen has no price, pipe costs its surface: `by_surface`. Its rules are that no run is slow or fast; `lenient`: that in none the load
    settles. `coefficients`, by run, hold what a run loses at its joint in
    velocity pressures of its own, in place of the flow-ratio law.
    """

    share = limit("starved-machine", "tolerance")  # of its need that a machine is to get

    def __init__(self, design: Design, *, lenient: bool = False, coefficients: Mapping[str, float] | None = None) -> None:
        self.design, self.lenient, self._coefficients = design, lenient, coefficients
        self.look: Look = look_at(design, compile_tree(design))
        self.tree: Tree = self.look.tree
        self.runs = [duct.run for duct in self.tree.runs]
        self.parent = [duct.parent for duct in self.tree.runs]
        self.children = [[kid for kid in kids if kid < len(self.runs)] for kids in self.tree.children[: len(self.runs)]]
        self.sets = gate_sets_of(design)
        self._sizes, self._joining = stock_sizes(design), children_of(design)
        self.open = [open_ports(self.tree, gates_for(self.tree, gate_set.open)) for gate_set in self.sets]
        self.idle = set(range(len(self.runs))).difference(*(self.way_to(port) for ports in self.open for port in ports))
        self._priced, self.by_surface = self._sizes, False
        self.options = [self._options(i) for i in range(len(self.runs))]
        if any(option.price.unpriced for options in self.options if len(options) > 1 for option in options):
            self._priced, self.by_surface = by_surface(self._sizes), True
            self.options = [self._options(i) for i in range(len(self.runs))]
        self.live = [self._live(ports) for ports in self.open]
        self.rules = [self._rules(at, gate_set) for at, gate_set in enumerate(self.sets)]
        self._maker = DuctMaker(self._sizes, self.tree.ports, self.tree.air)
        self._ducts: dict[tuple[int, int, int], Duct] = {}
        self._joints: dict[tuple[int, ...], Joint | FixedJoint | None] = {}
        self._answers: dict[tuple[int, ...], Answer] = {}
        self._near: dict[int, Balance] = {}  # the last of each gate set: where the next one starts
        self.solved = 0

    @property
    def least(self) -> str:
        """What the cheapest sizes are called."""
        return "least pipe" if self.by_surface else "cheapest"

    @property
    def scope(self) -> str:
        """What a proof by cuts holds for."""
        return "with each joint's coefficient held at its average"

    @property
    def unprovable(self) -> str:
        """Why no proof by cuts holds here; nothing where one does."""
        if not self.tree.fan.falls:
            return "the collector's curve rises"
        return "ducts or gates leak" if self.tree.leaks or self.tree.shut_gate else ""

    def free_idle(self) -> None:
        """Let the runs through which no gate set draws be as narrow as can be, so that they stand in no other's way."""
        self.options = [self._stocked(i)[:1] if i in self.idle else options for i, options in enumerate(self.options)]

    # The choices

    def _options(self, i: int) -> tuple[Option, ...]:
        """The sizes a run may have; an idle one only its own, unless it is wider than what it joins."""
        bore, parent = self.tree.ducts[i].bore, self.parent[i]
        fits = parent < 0 or bore <= self.tree.ducts[parent].bore + _SAME_BORE
        return (self._option(self.look.runs[self.runs[i]]),) if i in self.idle and fits else self._stocked(i)

    def _option(self, run: Run) -> Option:
        return Option(run.size, bore_of(run, self._sizes), run, run_price(run, self._joining[run.id], self._priced))

    def _stocked(self, i: int) -> tuple[Option, ...]:
        """The sizes the store has of the run's stock, by bore; of bores alike the cheaper; a run of no stocked size keeps its bore."""
        run = self.look.runs[self.runs[i]]
        if run.size is None:
            return (self._option(run),)
        stock = self._sizes[run.size][0]
        offered = [size for size in stock.sizes if size.in_store is not False] or [self._sizes[run.size][1]]
        found: dict[float, Option] = {}
        for size in sorted(offered, key=lambda size: (size.bore.si, size.price or 0.0), reverse=True):
            found[round(size.bore.si, 5)] = self._option(resized(run, f"{stock.id}/{size.nominal}", self._sizes))
        return tuple(found[bore] for bore in sorted(found))

    def today(self) -> Choice:
        """The choice nearest to the design as it is, made to widen nowhere outward."""
        nearest = [
            min(range(len(options)), key=lambda k: abs(options[k].bore - bore_of(self.look.runs[run], self._sizes)))
            for run, options in zip(self.runs, self.options)
        ]
        return self.narrowed(nearest)

    def narrowed(self, choice: Sequence[int]) -> Choice:
        """The choice with every run no wider than the one it joins, where it has such a size."""
        made = list(choice)
        for i, parent in enumerate(self.parent):
            if parent >= 0:
                while made[i] and self.options[i][made[i]].bore > self.options[parent][made[parent]].bore + _SAME_BORE:
                    made[i] -= 1
        return tuple(made)

    def widened(self, choice: Sequence[int]) -> Choice:
        """The choice with every run no narrower than those that join it, where it has such a size."""
        made = list(choice)
        for i in reversed(range(len(made))):
            parent = self.parent[i]
            if parent >= 0:
                while (
                    made[parent] + 1 < len(self.options[parent])
                    and self.options[parent][made[parent]].bore < self.options[i][made[i]].bore - _SAME_BORE
                ):
                    made[parent] += 1
        return tuple(made)

    def asked(self, i: int, k: int) -> float:
        """The least bore of what a run of a size may join, m: its own; for its narrowest size no more than that other run can have."""
        bore = self.options[i][k].bore
        return bore if k else min(bore, self.options[self.parent[i]][-1].bore)

    def widenings(self, choice: Choice) -> int:
        """How many runs are wider than the one they join, where that can be helped."""
        return sum(
            parent >= 0 and self.asked(i, choice[i]) > self.options[parent][choice[parent]].bore + _SAME_BORE for i, parent in enumerate(self.parent)
        )

    def made(self, choice: Choice) -> Design:
        """The design with these sizes."""
        runs = {run: options[k].run for run, options, k in zip(self.runs, self.options, choice)}
        return replace(self.design, runs=tuple(runs[run.id] for run in self.design.runs))

    def price(self, choice: Choice) -> float:
        """What the ducts cost."""
        total = 0.0
        for i, k in enumerate(choice):
            option = self.options[i][k]
            total += option.price.pipe + option.price.joints
            if wants_reducer(option.run, option.bore, self.inner_bore(i, choice)):
                total += option.price.reducer
        return total

    def inner_bore(self, i: int, choice: Choice) -> float:
        """Bore of what a run joins, m."""
        parent = self.parent[i]
        return self.design.collector.inlet.si if parent < 0 else self.options[parent][choice[parent]].bore

    # What they give

    def _live(self, ports: Iterable[str]) -> tuple[int, ...]:
        """The runs that carry air to these ports; all of them where walls leak."""
        if self.tree.leaks or self.tree.shut_gate:
            return tuple(range(len(self.runs)))
        found: set[int] = set()
        for port in ports:
            at = self.tree.leaf_of[port]
            while at >= 0 and at not in found:
                found.add(at)
                at = self.parent[at]
        return tuple(sorted(found))

    def _rules(self, at: int, gate_set: GateSet) -> tuple[Rule, ...]:
        """Flows of the machines at work, speeds of every run that carries air on a way to an open port."""
        working = [port for port in self.open[at] if port.split("/")[0] in gate_set.open and self.tree.ports[port].needs.si > 0]
        carrying = {run for port in self.open[at] for run in self.way_to(port)}
        flows = [Rule(at, "least", port, self.share * self.tree.ports[port].needs.si) for port in working]
        speeds = []
        for i in sorted(carrying):
            band = self.look.limits[self.runs[i]]
            speeds.append(Rule(at, "slow", self.runs[i], band.settles if self.lenient else band.slow))
            speeds += [] if self.lenient else [Rule(at, "fast", self.runs[i], band.fast)]
        return (*flows, *speeds)

    def way_to(self, port: str) -> list[int]:
        """The runs from a port to the collector."""
        found, at = [], self.tree.leaf_of[port]
        while at >= 0:
            found.append(at)
            at = self.parent[at]
        return found

    def tree_of(self, choice: Choice) -> Tree:
        """The network with these sizes."""
        ducts = [self._duct(i, choice) for i in range(len(self.runs))]
        joints = tuple(self._joint(i, choice, ducts) for i in range(len(self.runs)))
        if self.tree.leaks:
            return compile_tree(self.made(choice), before=self.tree)
        return replace(self.tree, ducts=tuple(ducts), joints=joints)

    def _duct(self, i: int, choice: Choice) -> Duct:
        parent = self.parent[i]
        key = (i, choice[i], choice[parent] if parent >= 0 else -1)
        if key not in self._ducts:
            self._ducts[key] = self._maker.duct(self.options[i][choice[i]].run, parent, self.inner_bore(i, choice))
        return self._ducts[key]

    def _joint(self, i: int, choice: Choice, ducts: list[Duct]) -> Joint | FixedJoint | None:
        key = (i, choice[i], *(choice[kid] for kid in self.children[i]))
        if key not in self._joints:
            runs = tuple(self.options[kid][choice[kid]].run for kid in self.children[i])
            joint = joint_of(runs, ducts[i], ducts, self.tree.index, self.tree.air)
            if joint and self._coefficients is not None:
                known = [self._coefficients.get(run.id, 0.0) for run in runs]
                joint = FixedJoint(joint.legs, tuple(k * joint.density / 2 / leg.area**2 for k, leg in zip(known, joint.legs)))
            self._joints[key] = joint
        return self._joints[key]

    def answer(self, choice: Choice, at: int, tree: Tree | None = None) -> Answer:
        """The gate set at an index, solved."""
        key = (at, *(choice[i] for i in self.live[at]))
        if key not in self._answers:
            self.solved += 1
            self._answers[key] = self._solved(at, tree or self.tree_of(choice))
        return self._answers[key]

    def answers(self, choice: Choice) -> list[Answer]:
        """Every gate set, solved."""
        tree = None
        found = []
        for at in range(len(self.sets)):
            if (at, *(choice[i] for i in self.live[at])) not in self._answers:
                tree = tree or self.tree_of(choice)
            found.append(self.answer(choice, at, tree))
        return found

    def breaks(self, choice: Choice, rule: Rule) -> bool:
        """Whether a choice breaks a rule for certain: one without an answer does not."""
        answer = self.answer(choice, rule.gate_set)
        return answer.balance is not None and any(broken == rule for broken, _ in answer.broken)

    def held(self, choice: Choice) -> Plant:
        """The plant with each joint's coefficient held at its average under a choice."""
        return Plant(self.design, lenient=self.lenient, coefficients=self.coefficients(choice))

    def coefficients(self, choice: Choice) -> dict[str, float]:
        """What each run loses at its joint, in velocity pressures of its own, on the average over the gate sets; at least nothing."""
        tree, found = self.tree_of(choice), {}
        for answer in self.answers(choice):
            for i, run in enumerate(self.runs if answer.balance else ()):
                flow = answer.balance.flows[i]
                if self.parent[i] >= 0 and flow > 0 and answer.balance.runs[run].carries:
                    pressure = velocity_pressure(flow, tree.ducts[i].bore, tree.air.density)
                    found.setdefault(run, []).append(answer.balance.joint_losses[i] / pressure)
        return {run: max(0.0, sum(each) / len(each)) for run, each in found.items()}

    def _solved(self, at: int, tree: Tree) -> Answer:
        throttled = {throttle.gate: throttle.open for throttle in self.sets[at].throttle}
        try:
            law = momentum if self._coefficients is None else fixed
            balance = solve(tree, self.open[at], throttled=throttled, joints=law, near=self._near.get(at))
        except NotConverged:
            return Answer(tuple((rule, 1.0) for rule in self.rules[at]), 0.0, 0.0, None)
        self._near[at] = balance
        return judged(self.rules[at], balance)
