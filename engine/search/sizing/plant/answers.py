"""What each choice of sizes gives, gate set by gate set.

What was solved for some sizes is kept: another choice in which the ways of a
gate set have the same sizes has the same answer there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from operator import itemgetter

from engine.air.gate_sets import solve_set
from engine.air.one.balance import Balance, velocity_pressure
from engine.air.one.network import Tree
from engine.search.sizing.plant.choices import Choice, Choices
from engine.search.sizing.plant.flows import Balanced, Flows
from engine.search.sizing.plant.networks import Networks
from engine.search.sizing.plant.rules import Answer, Rule


class Answers:
    """Answers to every rule of every gate set, for any choice.

    The rules are that no run is slow or fast; `lenient`: that in none the
    load settles. `live` are the runs that an answer hangs on, `solved` counts
    the gate sets solved so far.
    """

    def __init__(self, choices: Choices, flows: Flows, *, lenient: bool, networks: Networks | None = None) -> None:
        self.flows, self.lenient = flows, lenient
        self._choices, self._networks = choices, networks or Networks(choices)
        self.live = tuple(self._live(ports) for ports in choices.open)
        self.rules = tuple(self._rules(at) for at in range(len(choices.sets)))
        self._sizes = tuple(itemgetter(*live) if live else _no_sizes for live in self.live)
        self._known: dict[tuple[int, object], Answer] = {}
        self.solved = 0

    @property
    def steady(self) -> bool:
        """Whether a proof holds of these answers as they are."""
        return self.flows.steady

    def _live(self, ports: Iterable[str]) -> tuple[int, ...]:
        """The runs that carry air to these ports; all of them where walls leak."""
        if self._choices.leaks:
            return tuple(range(len(self._choices.runs)))
        return tuple(sorted({i for port in ports for i in self._choices.way_to(port)}))

    def _rules(self, at: int) -> tuple[Rule, ...]:
        """Flows of the machines at work, speeds of every run that carries air on a way to an open port."""
        choices, machines, ports = self._choices, self._choices.sets[at].open, self._choices.tree.ports
        working = [port for port in choices.open[at] if port.split("/")[0] in machines and ports[port].needs.si > 0]
        carrying = sorted({i for port in choices.open[at] for i in choices.way_to(port)})
        rules = [Rule(at, "least", port, self.flows.share * ports[port].needs.si) for port in working]
        for run in (choices.runs[i] for i in carrying):
            band = choices.look.limits[run]
            rules.append(Rule(at, "slow", run, band.settles.value if self.lenient else band.slow.value))
            rules += [] if self.lenient else [Rule(at, "fast", run, band.fast.value)]
        return tuple(rules)

    def answer(self, choice: Choice, at: int) -> Answer:
        """The gate set at an index."""
        self._prepare([choice], [at])
        return self._known[self._key(choice, at)]

    def every(self, choice: Choice) -> list[Answer]:
        """Every gate set."""
        self.prepare([choice])
        return [self._known[self._key(choice, at)] for at in range(len(self.live))]

    def prepare(self, choices: Iterable[Choice]) -> None:
        """Solve every gate set of some choices that has not been, in one call: what is asked of them next is then known."""
        self._prepare(choices, range(len(self.live)))

    def _prepare(self, choices: Iterable[Choice], sets: Sequence[int]) -> None:
        asked: dict[tuple[int, object], tuple[int, Tree]] = {}
        for choice in choices:
            tree = None
            for at in sets:
                key = self._key(choice, at)
                if key not in self._known and key not in asked:
                    tree = tree or self._networks.tree_of(choice)
                    asked[key] = at, tree
        if asked:
            self.solved += len(asked)
            self._known.update(zip(asked, self.flows.answers(list(asked.values()), self.rules), strict=True))

    def _key(self, choice: Choice, at: int) -> tuple[int, object]:
        """What an answer hangs on: the gate set, and the sizes of the runs that are live in it."""
        return at, self._sizes[at](choice)

    def network(self, choice: Choice) -> Tree:
        """The network with these sizes."""
        return self._networks.tree_of(choice)

    def balances(self, choice: Choice) -> list[Balance]:
        """Each gate set balanced by itself, those that can be."""
        tree = self.network(choice)
        return [result.balance for gate_set in self._choices.sets if (result := solve_set(tree, gate_set)).balance]

    def coefficients(self, choice: Choice) -> dict[str, float]:
        """What each run loses at its joint, in velocity pressures of its own, on the average over the gate sets; at least nothing."""
        tree, found = self.network(choice), dict[str, list[float]]()
        for balance in self.balances(choice):
            for i, run in enumerate(self._choices.runs):
                flow = balance.flows[i]
                if self._choices.parent[i] >= 0 and flow > 0 and balance.runs[run].carries:
                    pressure = velocity_pressure(flow, tree.runs[i].bore, tree.air.density)
                    found.setdefault(run, []).append(balance.joint_losses[i] / pressure)
        return {run: max(0.0, _mean(each)) for run, each in found.items()}

    def with_joints(self, coefficients: Mapping[str, float]) -> Answers:
        """The answers where each run, by its id, loses so many velocity pressures of its own at its joint."""
        flows = Balanced(self._choices, self.flows.share, steady=True)
        return Answers(self._choices, flows, lenient=self.lenient, networks=Networks(self._choices, coefficients))


def _no_sizes(_choice: Choice) -> None:
    """Of a gate set in which no run is live."""


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)
