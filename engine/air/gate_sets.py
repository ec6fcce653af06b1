"""One set of gates solved: the machines at work, the ports that are open with them, and the balance of their air."""

from __future__ import annotations

from collections.abc import Iterator

from engine.air.one.balance import Balance, PortState, solve
from engine.air.one.network import SHARED, Tree, ports_for
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


def solve_set(tree: Tree, gate_set: GateSet, near: SetResult | None = None) -> SetResult:
    """One gate set solved in a network; `near` is its answer in a network much alike.

    Without a balance the result says why; nothing is raised.
    """
    ports, throttled = ports_for(tree, gate_set.open), throttled_in(gate_set)
    try:
        return SetResult(gate_set, ports, solve(tree, ports, throttled=throttled, near=near.balance if near else None))
    except NotConverged as trouble:
        return SetResult(gate_set, ports, None, f"no answer: {trouble}")


def same_answer(result: SetResult, tree: Tree, before: Tree) -> bool:
    """Whether a gate set's answer in the tree `before` is its answer in a tree made from that one.

    It is, where all that the two trees share is the same and every duct that
    changed carries no air: where a shut duct ends, its own losses say nothing.
    """
    if not all(getattr(tree, name) is getattr(before, name) for name in SHARED) or tree.shut_gate != before.shut_gate:
        return False
    changed = [i for i, (new, old) in enumerate(zip(tree.runs, before.runs, strict=True)) if new is not old]
    if not changed:
        return True
    balance = result.balance
    if balance is None or balance.blown_back or tree.shut_gate:
        return False
    return all(not balance.flows[i] and tree.runs[i].gates == before.runs[i].gates and i not in balance.hindrance for i in changed)


def working_ports(result: SetResult) -> Iterator[tuple[str, PortState]]:
    """(port, state) of the open ports that need air and whose machine is at work in this set."""
    at_work = set(result.gate_set.open)
    for port, state in result.balance.ports.items() if result.balance else ():
        if port.split("/")[0] in at_work and state.needs > 0:
            yield port, state
