"""One set of gates solved: the machines at work, the ports that are open with them, and the balance of their air."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from engine.air.balance import Balance, PortState, solve
from engine.air.network import Tree, gates_for, open_ports
from engine.air.newton import NotConverged
from engine.design import GateSet


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
        return {throttle.gate: throttle.open for throttle in self.gate_set.throttle}


def solve_set(tree: Tree, gate_set: GateSet, near: SetResult | None = None) -> SetResult:
    """One gate set solved in a network; `near` is its answer in a network much alike.

    Without a balance the result says why; nothing is raised.
    """
    asked = SetResult(gate_set, open_ports(tree, gates_for(tree, gate_set.open)), None)
    try:
        balance = solve(tree, asked.open_ports, throttled=asked.throttled, near=near.balance if near else None)
    except NotConverged as trouble:
        return replace(asked, trouble=f"no answer: {trouble}")
    return replace(asked, balance=balance)


def working_ports(result: SetResult) -> Iterator[tuple[str, PortState]]:
    """(port, state) of the open ports that need air and whose machine is at work in this set."""
    at_work = set(result.gate_set.open)
    for port, state in result.balance.ports.items() if result.balance else ():
        if port.split("/")[0] in at_work and state.needs > 0:
            yield port, state
