"""Changes around the ducts: machines' ports, the collector and its filter, leaks, and what is open together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from engine.air.duct_maker import port_coefficient
from engine.air.gate_sets import SetResult
from engine.checks.assess import Assessment
from engine.checks.look import Look
from engine.checks.rules import limit
from engine.design import Design, Elbow, Port, Run, Straight, bore_of, system
from engine.edits import EditError
from engine.search.quantities import round_length
from engine.search.remedies.change import Change, Edit, change, exact, touching, with_pieces
from engine.search.remedies.sizes import next_bore
from engine.shapes.vectors import WAYS

# Work, in fittings exchanged: judgement.
_AT_A_MACHINE, _COLLECTOR_MOVED, _FILTER, _HABIT, _WAITING = 3.0, 4.0, 0.5, 0.5, 2.0
_SEALING_A_RUN, _GATES_MENDED = 0.3, 3.0
_WORTH_MOVING = 0.25  # m: judgement
_TIGHTER = {"A": "B", "B": "C", "C": "D"}


def ports(look: Look) -> Iterator[Change]:
    """A connected port opened to the next stocked bore, where its duct has that bore; its loss stays the same in velocity pressures."""
    for name, leaf in look.tree.leaf_of.items():
        port, duct = look.tree.ports[name], look.tree.runs[leaf]
        bore = next_bore(look, port.bore.si)
        if bore is None or bore > duct.far_bore * 1.001:
            continue
        loss = round(port_coefficient(port, look.tree.air.density), 3)
        made = {"bore": exact(look, bore, "bore"), **({"loss": loss, "suction": None} if port.suction else {})}
        title = f"{name}: port {look.show(port.bore.si, 'bore')} -> {look.show(bore, 'bore')}"
        yield change(title, {(name, "port")}, _AT_A_MACHINE, _port_edit(name, made), note="a change at the machine itself")


def _port_edit(name: str, values: dict[str, object]) -> Edit:
    machine_id, port_id = name.split("/", 1)

    def edited(port: Port) -> Port:
        return replace(port, **values) if port.id == port_id else port

    def edit(design: Design) -> Design:
        machines = (
            replace(machine, ports=tuple(edited(port) for port in machine.ports)) if machine.id == machine_id else machine
            for machine in design.machines
        )
        return replace(design, machines=tuple(machines))

    return edit


def collector(look: Look) -> Iterator[Change]:
    """The filter cleaned, the collector nearer, and room before its inlet."""
    own = look.design.collector
    state = own.filter or "used"
    drops = [(loss.clean, (loss.dirty if state == "dirty" else None) or loss.drop) for loss in own.losses]
    if state != "clean" and any(clean and clean.si < now.si for clean, now in drops):
        note = "holds until it has loaded again"
        yield change("filter cleaned", {("collector", "filter")}, _FILTER, _of_collector(filter="clean"), note=note)
    for run in look.design.runs:
        if run.joins != "collector" or not run.pieces:
            continue
        first = run.pieces[0]
        if isinstance(first, Straight):
            length = round_length(first.length.si / 2, system(look.design))
            by = first.length.si - length.si
            if by >= _WORTH_MOVING and length.si > 0:
                title = f"collector nearer, {run.id} begins with {length.text}, not {first.length.text}"
                shorter = with_pieces(run, {0: (Straight(length=length),)})
                yield change(title, touching(run, 0), _COLLECTOR_MOVED, shorter, _moved(by))
        yield from _room_before_inlet(look, run)


def _room_before_inlet(look: Look, run: Run) -> Iterator[Change]:
    wanted = limit("inlet-elbow", "bores") * bore_of(run, look.sizes)
    at_elbow = next((i for i, piece in enumerate(run.pieces) if isinstance(piece, Elbow)), None)
    before = sum(piece.length.si for piece in run.pieces[:at_elbow] if isinstance(piece, Straight)) if at_elbow is not None else wanted
    if before < wanted:
        more = round_length(wanted - before + 0.01, system(look.design))
        new = {at_elbow: (Straight(length=more), run.pieces[at_elbow])}
        title = f"{run.id}: {more.text} more straight before the inlet"
        edits = [with_pieces(run, new), *([_of_collector(swirl=None)] if look.design.collector.swirl else [])]
        yield change(title, touching(run, at_elbow) | {("collector", "swirl")}, 2.0, *edits)


def _of_collector(**values: object) -> Edit:
    return lambda design: replace(design, collector=replace(design.collector, **values))


def _moved(by: float) -> Edit:
    """The collector's recorded position, where it has one, moved along the way it faces."""

    def edit(design: Design) -> Design:
        own = design.collector
        if own.faces is None:
            return design
        steps = ((field, step, getattr(own, field)) for field, step in zip(("east", "north", "up"), WAYS[own.faces]))
        places = {field: round_length(was.si + step * by, system(design)) for field, step, was in steps if step and was is not None}
        return replace(design, collector=replace(own, **places))

    return edit


def leaks(look: Look) -> Iterator[Change]:
    """Ducts one class tighter, and shut gates that leave no gap."""
    leakage = look.design.leakage
    if tighter := _TIGHTER.get(leakage.tightness):
        work = _SEALING_A_RUN * len(look.design.runs)
        title = f"joints and seams sealed: tightness class {leakage.tightness} -> {tighter}"
        yield change(title, {("leakage", "tightness")}, work, _of_leakage(tightness=tighter))
    if leakage.shut_gate and leakage.shut_gate.si:
        yield change("gates that shut tight", {("leakage", "shut gate")}, _GATES_MENDED, _of_leakage(shut_gate=None))


def _of_leakage(**values: object) -> Edit:
    return lambda design: replace(design, leakage=replace(design.leakage, **values))


def gate_sets(assessment: Assessment) -> Iterator[Change]:
    """In a gate set that falls short: one machine less where one is starved, one gate more where a run is slow."""
    design = assessment.design
    written = {frozenset(gate_set.open) for gate_set in design.gate_sets}
    for result in assessment.sets:
        gate_set = result.gate_set
        if gate_set not in design.gate_sets:
            continue
        own = [found for found in assessment.findings if found.gate_set == gate_set.name]
        options: list[tuple[str, tuple[str, ...], float, str]] = []  # what, the machines then at work, work, note
        if any(found.code in ("starved-machine", "blow-back", "no-balance") for found in own) and len(gate_set.open) > 1:
            for name in gate_set.open:
                left = tuple(other for other in gate_set.open if other != name)
                options.append((f"without {name}", left, _WAITING, f"{name} works at another time"))
        if any(found.code == "slow-run" and found.severity == "fault" for found in own):
            for name in _helpers(assessment, result):
                options.append((f"open {name} too", (*gate_set.open, name), _HABIT, "its gate stays open with the others"))
        for what, machines, work, note in options:
            if frozenset(machines) not in written:
                touches = {("gate set", gate_set.name)}
                yield change(f"{gate_set.name}: {what}", touches, work, _opens(gate_set.name, gate_set.open, machines), note=note)


def _helpers(assessment: Assessment, result: SetResult) -> Iterator[str]:
    """Machines, not at work, whose air would pass a run that is too slow."""
    tree, look = assessment.tree, assessment.look
    slow = {run for run, state in result.balance.runs.items() if state.carries and state.velocity < look.limits[run].settles.value}
    for machine, its_ports in look.ports_of_machine.items():
        if machine in result.gate_set.open:
            continue
        way: set[str] = set()
        for port in its_ports:
            duct = tree.leaf_of.get(port, -1)
            while duct >= 0:
                way.add(tree.ducts[duct].run)
                duct = tree.ducts[duct].parent
        if way & slow:
            yield machine


def _opens(name: str, before: tuple[str, ...], machines: tuple[str, ...]) -> Edit:
    def edit(design: Design) -> Design:
        sets = [(i, gate_set) for i, gate_set in enumerate(design.gate_sets) if gate_set.name == name and gate_set.open == before]
        if not sets:
            raise EditError(f"the gate set {name} is not what it was")
        [(i, gate_set)] = sets
        changed = replace(gate_set, open=machines)
        return replace(design, gate_sets=(*design.gate_sets[:i], changed, *design.gate_sets[i + 1 :]))

    return edit
