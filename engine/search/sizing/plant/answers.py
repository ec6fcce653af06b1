"""What each choice of sizes gives, gate set by gate set.

What was solved for some sizes is kept: another choice in which the ways of a
gate set have the same sizes has the same answer there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from engine.air.balance import velocity_pressure
from engine.air.network import Tree
from engine.search.sizing.plant.choices import Choice, Choices
from engine.search.sizing.plant.flows import Balanced, Flows
from engine.search.sizing.plant.networks import Networks, held_or_momentum
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
        self._known: dict[tuple[int, ...], Answer] = {}
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
        return self._answer(choice, at, None)

    def every(self, choice: Choice) -> list[Answer]:
        """Every gate set."""
        tree = self._networks.tree_of(choice) if any(self._key(choice, at) not in self._known for at in range(len(self.live))) else None
        return [self._answer(choice, at, tree) for at in range(len(self.live))]

    def _answer(self, choice: Choice, at: int, tree: Tree | None) -> Answer:
        key = self._key(choice, at)
        if key not in self._known:
            self.solved += 1
            self._known[key] = self.flows.answer(at, tree or self._networks.tree_of(choice), self.rules[at])
        return self._known[key]

    def _key(self, choice: Choice, at: int) -> tuple[int, ...]:
        return (at, *(choice[i] for i in self.live[at]))

    def coefficients(self, choice: Choice) -> dict[str, float]:
        """What each run loses at its joint, in velocity pressures of its own, on the average over the gate sets; at least nothing."""
        tree = self._networks.tree_of(choice)
        found: dict[str, list[float]] = {}
        for balance in (answer.balance for answer in self.every(choice) if answer.balance is not None):
            for i, run in enumerate(self._choices.runs):
                flow = balance.flows[i]
                if self._choices.parent[i] >= 0 and flow > 0 and balance.runs[run].carries:
                    pressure = velocity_pressure(flow, tree.runs[i].bore, tree.air.density)
                    found.setdefault(run, []).append(balance.joint_losses[i] / pressure)
        return {run: max(0.0, _mean(each)) for run, each in found.items()}

    def with_joints(self, coefficients: Mapping[str, float]) -> Answers:
        """The answers where each run, by its id, loses so many velocity pressures of its own at its joint."""
        flows = Balanced(self._choices, self.flows.share, law=held_or_momentum, steady=True)
        return Answers(self._choices, flows, lenient=self.lenient, networks=Networks(self._choices, coefficients))


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)
