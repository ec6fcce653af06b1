"""Changes around the ducts: machines' ports, the collector and its filter, leaks, and what is open together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from engine.air.gate_sets import SetResult
from engine.air.one.duct_maker import port_coefficient
from engine.air.one.ducts import area
from engine.checks.assess import Assessment
from engine.checks.look import Look
from engine.checks.rules import limit
from engine.checks.subjects.given import suction_below_velocity_pressure
from engine.design import Design, GateSet, Machine, Port, Run, Straight, bore_of, defaults, system
from engine.edits import EditError
from engine.search.quantities import as_shown, round_length
from engine.search.remedies.change import Change, Edit, change, on_collector, on_leakage, touches_of, with_pieces
from engine.search.remedies.pieces import first_elbow
from engine.search.remedies.sizes import next_bore
from engine.search.remedies.weights import work
from engine.shapes.vectors import WAYS
from engine.values import dataclass

_WORTH_MOVING = 0.25  # m: judgement
_TIGHTER = {"A": "B", "B": "C", "C": "D"}


def ports(look: Look) -> Iterator[Change]:
    """A connected port opened to the next stocked bore, where its duct has that bore; its loss stays the same in velocity pressures.

    A port whose measured suction cannot be is left alone: its loss is not known.
    """
    for name, leaf in look.tree.leaf_of.items():
        port, duct = look.tree.ports[name], look.tree.runs[leaf]
        bore = next_bore(look, port.bore.si)
        if bore is None or bore > duct.far_bore * 1.001 or suction_below_velocity_pressure(look.tree.air, port) is not None:
            continue
        wider, note = replace(port, bore=as_shown(bore, "bore", system(look.design))), "a change at the machine itself"
        if port.suction:
            note += "; its suction, measured before, becomes the loss that it told of"
            wider = replace(wider, loss=round(port_coefficient(port, look.tree.air.density), 3), suction=None)
        title = f"{name}: port {look.show(port.bore.si, 'bore')} -> {look.show(bore, 'bore')}"
        yield change(title, {(name, "port")}, work("port_opened"), _with_port(name, wider), note=note)


def _with_port(name: str, new: Port) -> Edit:
    machine_id, port_id = name.split("/", 1)

    def edit_machine(machine: Machine) -> Machine:
        ports = tuple(new if port.id == port_id else port for port in machine.ports)
        return replace(machine, ports=ports) if machine.id == machine_id else machine

    return lambda design: replace(design, machines=tuple(map(edit_machine, design.machines)))


def collector(look: Look) -> Iterator[Change]:
    """The filter cleaned, the collector nearer, and room before its inlet."""
    own = look.design.collector
    state = own.filter or defaults.FILTER
    drops = [(loss.clean, (loss.dirty if state == "dirty" else None) or loss.drop) for loss in own.losses]
    if state != "clean" and any(clean and clean.si < now.si for clean, now in drops):
        note, cleaned = "upkeep: holds until it has loaded again", on_collector(lambda own: replace(own, filter="clean"))
        yield change("filter cleaned", {("collector", "filter")}, work("filter_cleaned"), cleaned, note=note, upkeep=True)
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
                yield change(title, touches_of(run, 0), work("collector_moved"), shorter, _shift_collector(by))
        yield from _room_before_inlet(look, run)


def _room_before_inlet(look: Look, run: Run) -> Iterator[Change]:
    wanted = limit(look.design, "inlet-elbow", "bores") * bore_of(run, look.sizes)
    at_elbow, elbow = first_elbow(run) or (0, None)
    before = sum(piece.length.si for piece in run.pieces[:at_elbow] if isinstance(piece, Straight))
    if elbow and before < wanted:
        more = round_length(wanted - before + 0.01, system(look.design))
        title = f"{run.id}: {more.text} more straight before the inlet"
        edits = [with_pieces(run, {at_elbow: (Straight(length=more), elbow)})]
        if look.design.collector.swirl:
            edits.append(on_collector(lambda own: replace(own, swirl=None)))
        yield change(title, touches_of(run, at_elbow) | {("collector", "swirl")}, work("straight_before_inlet"), *edits)


def _shift_collector(by: float) -> Edit:
    """The collector's recorded position, where it has one, `by` m along the way it faces."""

    def edit(design: Design) -> Design:
        own = design.collector
        if own.faces is None:
            return design
        east, north, up = (
            round_length(was.si + step * by, system(design)) if step and was is not None else was
            for step, was in zip(WAYS[own.faces], (own.east, own.north, own.up), strict=True)
        )
        return replace(design, collector=replace(own, east=east, north=north, up=up))

    return edit


def leaks(look: Look) -> Iterator[Change]:
    """Ducts one class tighter, and shut gates that leave no gap."""
    leakage = look.design.leakage
    if tighter := _TIGHTER.get(leakage.tightness or ""):
        title = f"joints and seams sealed: tightness class {leakage.tightness} -> {tighter}"
        yield change(
            title, {("leakage", "tightness")}, work("run_sealed") * len(look.design.runs), on_leakage(lambda own: replace(own, tightness=tighter))
        )
    if leakage.shut_gate and leakage.shut_gate.si:
        yield change("gates that shut tight", {("leakage", "shut gate")}, work("gates_mended"), on_leakage(lambda own: replace(own, shut_gate=None)))


def gate_sets(assessment: Assessment) -> Iterator[Change]:
    """In a gate set that falls short: one machine less where one is starved, one gate more where a run is slow."""
    design = assessment.design
    written = {frozenset(gate_set.open) for gate_set in design.gate_sets}
    for result in assessment.sets:
        gate_set = result.gate_set
        if gate_set not in design.gate_sets:
            continue
        for opened in _other_openings(assessment, result):
            if frozenset(opened.machines) not in written:
                edit = _open_instead(gate_set, opened.machines)
                yield change(f"{gate_set.name}: {opened.title}", {("gate set", gate_set.name)}, work(opened.work), edit, note=opened.note)


@dataclass(frozen=True, slots=True)
class _Opening:
    """What else a gate set could open: the machines then at work, and what kind of work that is."""

    title: str
    machines: tuple[str, ...]
    work: str
    note: str


def _other_openings(assessment: Assessment, result: SetResult) -> Iterator[_Opening]:
    gate_set = result.gate_set
    own = [found for found in assessment.findings if found.gate_set == gate_set.name]
    if any(found.code in ("starved-machine", "blow-back", "no-balance") for found in own) and len(gate_set.open) > 1:
        for name in gate_set.open:
            left = tuple(other for other in gate_set.open if other != name)
            yield _Opening(f"without {name}", left, "machine_left_out", f"{name} works at another time")
    if any(found.code == "slow-run" and found.severity == "fault" for found in own):
        for name in _helpers(assessment, result):
            yield _Opening(f"open {name} too", (*gate_set.open, name), "gate_left_open", "its gate stays open with the others")


def _helpers(assessment: Assessment, result: SetResult) -> Iterator[str]:
    """Machines, not at work, whose air would pass a run that is too slow."""
    tree, look = assessment.tree, assessment.look
    carried = result.balance.carried if result.balance else {}
    slow = {run for run, flow in carried.items() if flow / area(tree.runs[tree.index[run]].speed_bore) < look.limits[run].settles.least}
    for machine, its_ports in look.ports_of_machine.items():
        if machine in result.gate_set.open:
            continue
        way: set[str] = set()
        for port in its_ports:
            duct = tree.leaf_of.get(port, -1)
            while duct >= 0:
                way.add(tree.runs[duct].run)
                duct = tree.ducts[duct].parent
        if way & slow:
            yield machine


def _open_instead(before: GateSet, machines: tuple[str, ...]) -> Edit:
    """The gate set with these machines at work; EditError where it is not there any more as it was."""

    def edit(design: Design) -> Design:
        if not any(one.name == before.name and one.open == before.open for one in design.gate_sets):
            raise EditError(f"the gate set {before.name} is not what it was")
        sets = (replace(one, open=machines) if one.name == before.name else one for one in design.gate_sets)
        return replace(design, gate_sets=tuple(sets))

    return edit
