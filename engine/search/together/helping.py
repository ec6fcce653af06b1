"""Which one gate more makes a gate set pass that does not: more air in the main, so that nothing settles there."""

from __future__ import annotations

from engine.air.gate_sets import solve_set
from engine.air.one.ducts import area
from engine.checks.look import Look
from engine.checks.subjects.air import SET_CHECKS
from engine.design import GateSet


def gate_that_helps(look: Look, gate_set: GateSet) -> tuple[str, bool] | None:
    """(machine, whether it may work then): the machine whose gates, open besides, leave a gate set without a fault of its air; None for none.

    Of several the one that leaves the slowest run fastest against its limit; one that may work before one that only helps.
    """
    found: list[tuple[bool, float, str]] = []
    for machine in look.design.machines:
        ports = look.ports_of_machine[machine.id]
        if machine.id in gate_set.open or not any(port in look.tree.leaf_of for port in ports):
            continue
        result = solve_set(look.tree, GateSet(name=gate_set.name, open=(*gate_set.open, machine.id), throttle=gate_set.throttle))
        own = {look.ports_at[port] for port in ports}
        faults = [one for check in SET_CHECKS for one in check(look, result) if one.severity == "fault"]
        if result.balance and all(one.code == "starved-machine" and one.place in own for one in faults):
            states = [(run, state.flow) for run, state in result.balance.runs.items() if state.carries]
            slowest = min(flow / area(look.widest[run].bore) / look.limits[run].slow.value for run, flow in states)
            found.append((not faults, slowest, machine.id))
    if not found:
        return None
    may_work, _, machine_id = max(found)
    return machine_id, may_work
