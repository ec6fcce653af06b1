"""The gate card of every machine: which gates to open, which to shut, for each way it works."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from engine.air.gate_sets import SetResult
from engine.checks import cautions
from engine.field.spots import Unforeseen
from engine.report.page.blocks import Block, Card, Points, Table, Words
from engine.report.page.contents.air import band_text
from engine.report.page.job import Job

_ORDER = "Shut what is to be shut before you start the collector; never shut the last open gate while it runs."  # common practice, no source
_NONE = "none"


_BY_VERDICT = ("", "note", "caution", "fault")


def cards(job: Job) -> Iterator[Block]:
    """A card for every machine; what holds for all stands before them."""
    if not job.design.machines:
        yield Words("No machines yet.")
        return
    yield Words(_ORDER, "warning")
    yield Words("; ".join(f"{caution.title}" for caution in cautions.applying(job.design)) + ".", "small")
    for machine in job.design.machines:
        yield Card(machine.id, tuple(_card(job, machine.id)))


def _card(job: Job, machine: str) -> Iterator[Block]:
    """The ways in which a machine works, those that pass first."""
    own = [(result, number) for number, result in enumerate(job.assessment.sets) if machine in result.gate_set.open]
    ports = [port for port in job.assessment.look.ports_of_machine[machine] if port in job.assessment.tree.leaf_of]
    if not ports:
        yield Words("No duct leads to this machine: it has nothing to suck its dust off.", "warning")
    elif not own:
        yield Words("This machine works in no gate set of the design: nothing is known of its air.", "warning")
    own.sort(key=lambda row: _BY_VERDICT.index(job.assessment.worst(row[0])))
    for result, number in own:
        yield Table(f"{result.gate_set.name}: {', '.join(result.gate_set.open)}", ("", "gates"), (*_gates(job, result), *_gauges(job, number, ports)))
        for port in ports:
            if said := _air(job, result, number, port):
                yield Words(said)
        if job.assessment.worst(result) == "fault":
            yield Points(tuple(job.why_not(result)))
    if open_always := [port for port in ports if not job.assessment.tree.gates_to[port]]:
        yield Words(f"No gate on the way of {', '.join(open_always)}: always open.")


def _gates(job: Job, result: SetResult) -> Iterator[tuple[str, str]]:
    """What to do with every gate."""
    opened = job.open_gates(result)
    part = result.throttled
    yield "OPEN", ", ".join(gate for gate in opened if gate not in part) or _NONE
    for gate in opened:
        if gate in part:
            bore = job.gate_bores[gate]
            wide = f"{job.show(part[gate] * bore, 'bore')} of {job.show(bore, 'bore')}"
            yield "PART OPEN", f"{gate}: {wide}"
    yield "SHUT", ", ".join(gate for gate in job.gates if gate not in opened) or _NONE
    yield "JUDGED", job.verdict(result)


def _gauges(job: Job, number: int, ports: Sequence[str]) -> Iterator[tuple[str, str]]:
    """What a gauge should show at the drops of a machine."""
    drops = {run.id for run in job.design.runs if run.ends in ports}
    for each in job.readings[number]:
        if each.reading.what == "suction" and (each.run in drops or each.stop.port in ports) and not isinstance(each.found, Unforeseen):
            low, high = (job.number(end, "pressure") for end in (each.found.low, each.found.high))
            yield "GAUGE", f"{job.show(each.found.value, 'pressure')} of static suction at {each.stop.place}, {low} to {high} nine times in ten"


def _air(job: Job, result: SetResult, number: int, port: str) -> str:
    if result.balance is None or port not in result.balance.ports:
        return ""
    state = result.balance.ports[port]
    low, high = band_text(job, job.bands[number].get(port))
    span = f", {low} to {high} nine times in ten" if low != "--" else ""
    needs = f" of {job.show(state.needs, 'flow')} needed" if state.needs else ""
    return f"{port} gets {job.number(state.flow, 'flow')}{needs}{span}"
