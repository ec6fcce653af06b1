"""One set of gates solved: the machines at work, the ports that are open with them, and the balance of their air."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from engine.air.one.balance import Balance, PortState, solve, solve_again
from engine.air.one.network import Tree, changed_runs, ports_for
from engine.air.one.newton import NotConverged
from engine.design import GateSet
from engine.values import dataclass


@dataclass(frozen=True, slots=True)
class SetResult:
    """One gate set solved. `balance` is None where there is none, `trouble` says why."""

    gate_set: GateSet
    open_ports: tuple[str, ...]
    balance: Balance | None
    trouble: str = ""

    @property
    def throttled(self) -> dict[str, float]:
        """Share open of each throttled gate."""
        return throttled_in(self.gate_set)


def throttled_in(gate_set: GateSet) -> dict[str, float]:
    """Share open of each throttled gate of a gate set."""
    return {throttle.gate: throttle.open for throttle in gate_set.throttle}


def solve_sets(tree: Tree, gate_sets: Iterable[GateSet], known: Iterable[SetResult] = (), before: Tree | None = None) -> tuple[SetResult, ...]:
    """Every gate set solved in a network; `known` are answers in the tree `before` that this one was made from."""
    answers, changed = {result.gate_set: result for result in known}, changed_runs(tree, before) if before else None
    nearest = [(gate_set, answers.get(gate_set)) for gate_set in gate_sets]
    return tuple([_again(near, tree, changed) if near and changed is not None else solve_set(tree, gate_set, near) for gate_set, near in nearest])


def solve_set(tree: Tree, gate_set: GateSet, near: SetResult | None = None) -> SetResult:
    """One gate set solved in a network; `near` is its answer in a network much alike.

    Without a balance the result says why; nothing is raised.
    """
    ports, throttled = ports_for(tree, gate_set.open), throttled_in(gate_set)
    try:
        return SetResult(gate_set, ports, solve(tree, ports, throttled=throttled, near=near.balance if near else None))
    except NotConverged as trouble:
        return SetResult(gate_set, ports, None, f"no answer: {trouble}")


def same_answer(result: SetResult, changed: Sequence[int]) -> bool:
    """Whether a gate set's answer holds in a network of which only what the ducts at the positions `changed` cost is otherwise (see `changed_runs`).

    It does where they carry no air: where a shut duct ends, its own losses say nothing.
    """
    if not changed:
        return True
    balance = result.balance
    if balance is None or balance.blown_back or balance.tree.shut_gate:
        return False
    return not any(balance.flows[i] or i in balance.hindrance for i in changed)


def _again(result: SetResult, tree: Tree, changed: Sequence[int]) -> SetResult:
    """A gate set in such a network."""
    if same_answer(result, changed):
        return result
    balance = result.balance
    again = solve_again(balance, tree, changed) if balance and balance.hindrance.keys().isdisjoint(changed) else None
    return SetResult(result.gate_set, result.open_ports, again) if again else solve_set(tree, result.gate_set, result)


def working_ports(result: SetResult) -> Iterator[tuple[str, PortState]]:
    """(port, state) of the open ports that need air and whose machine is at work in this set."""
    at_work = set(result.gate_set.open)
    for port, state in result.balance.ports.items() if result.balance else ():
        if port.split("/")[0] in at_work and state.needs > 0:
            yield port, state
