"""What stands against a draft without faults, and what would free it: each way out tried on the design, and priced.

A fault is freed where it is gone and no other comes in its place; no run is
made narrower or wider for it. Nothing is proven: sizes were searched, not all
tried.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from engine.checks import Finding
from engine.checks.assess import Assessment, assess
from engine.checks.conditions import mains, nearness
from engine.design import Collector, Design, Gate, GateSet, Machine, Port, Run, bore_of, stock_sizes
from engine.design.names import fresh_name
from engine.edits import EditError
from engine.parts.price import price_of
from engine.search.layouts.drafting import Draft
from engine.search.quantities import as_shown, whole_degrees
from engine.search.remedies.surroundings import gate_sets
from engine.units import parse
from engine.values import dataclass

# Collectors tried: so many times the suction at each flow.
_STRONGER = (1.1, 1.25, 1.5, 2.0)
# A bleed inlet is a plain opening: the loss of a flanged end, velocity pressures; common practice, no source.
_BLEED_LOSS = 0.5
_BLEED = "bleed inlet"


@dataclass(frozen=True, slots=True)
class WayOut:
    """What frees a fault: what it is, and how much more the ducts then cost."""

    title: str
    price: float


@dataclass(frozen=True, slots=True)
class Barrier:
    """Faults of one kind along one main, in the gate sets in which the same frees them: the faults, and what does, cheapest first."""

    faults: tuple[Finding, ...]
    ways_out: tuple[WayOut, ...]

    @property
    def finding(self) -> Finding:
        """The worst of them."""
        return min(self.faults, key=nearness)

    @property
    def gate_sets(self) -> tuple[str, ...]:
        """The gate sets they show in."""
        return tuple(dict.fromkeys(fault.gate_set for fault in self.faults if fault.gate_set))


def barriers(one: Draft, others: Sequence[Draft] = ()) -> tuple[Barrier, ...]:
    """What stands against a draft, the gravest first, each with its ways out; `others` are drafts of the same shop."""
    found, main = one.assessment, mains(one.design.runs)
    groups: dict[tuple[str, str, str | None], list[Finding]] = {}
    for fault in found.findings:
        if fault.severity == "fault":
            groups.setdefault((fault.code, main.get(fault.where, fault.where), fault.gate_set), []).append(fault)
    tried = [(title, assess(design, found)) for title, design in _ways_out(found)] if groups else []
    before = price_of(one.design).total
    alike: dict[object, Barrier] = {}
    for (code, first, _), faults in groups.items():
        ways = (*_freeing(faults, found, tried, before), *_elsewhere(faults, one, others))
        same = code, first, ways
        alike[same] = Barrier((*(alike[same].faults if same in alike else ()), *faults), ways)
    return tuple(alike.values())


def _freeing(faults: Sequence[Finding], found: Assessment, tried: Sequence[tuple[str, Assessment]], before: float) -> Iterator[WayOut]:
    """The ways out, of those tried, that leave none of these faults and no more of any other; of stronger collectors the weakest."""
    names = {(fault.code, fault.where, fault.gate_set) for fault in faults}
    stronger = False
    for title, after in tried:
        left = {(finding.code, finding.where, finding.gate_set) for finding in after.findings if finding.severity == "fault"}
        if names & left or after.count("fault") > found.count("fault") - len(faults):
            continue
        if title.startswith("a collector"):
            if stronger:
                continue
            stronger = True
        yield WayOut(title, price_of(after.design).total - before)


def _elsewhere(faults: Sequence[Finding], one: Draft, others: Sequence[Draft]) -> Iterator[WayOut]:
    """The cheapest other draft that has no such fault in that gate set."""
    code, gate_set = faults[0].code, faults[0].gate_set
    free = [
        other for other in others
        if other is not one and not other.troubled
        and not any(f.severity == "fault" and (f.code, f.gate_set) == (code, gate_set) for f in other.assessment.findings)
    ]  # fmt: skip
    if free:
        best = min(free, key=lambda other: other.standing.price)
        yield WayOut(f"another layout, {best.title}, in {best.shop.stock.id}", best.standing.price - one.standing.price)


def _ways_out(found: Assessment) -> Iterator[tuple[str, Design]]:
    """Designs to try: a gate opened too or a machine less in a set, a set split in two, a bleed at the end of a main, a stronger collector."""
    design = found.design
    for change in gate_sets(found):
        try:
            yield change.title, change.edit(design)
        except EditError:
            continue
    troubled = {fault.gate_set for fault in found.findings if fault.severity == "fault" and fault.gate_set}
    for gate_set in design.gate_sets:
        if gate_set.name in troubled:
            yield from _split(design, gate_set)
            for end in _ends(design):
                yield f"{gate_set.name}: a bleed inlet at the end of {end.id} opened too", _with_bleed(design, gate_set, end)
    for factor in _STRONGER:
        stronger = _stronger(design.collector, factor)
        if stronger:
            yield f"a collector with {factor - 1:.0%} more suction".replace("%", " %"), replace(design, collector=stronger)


def _split(design: Design, gate_set: GateSet) -> Iterator[tuple[str, Design]]:
    """The set as one for each of its machines."""
    if len(gate_set.open) < 2:
        return
    taken = {one.name for one in design.gate_sets}
    parts = []
    for machine in gate_set.open:
        parts.append(GateSet(name=fresh_name(f"{machine} alone", taken), open=(machine,)))
        taken.add(parts[-1].name)
    sets = tuple(part for one in design.gate_sets for part in (parts if one is gate_set else [one]))
    yield f"{gate_set.name} split: one machine at a time", replace(design, gate_sets=sets)


def _ends(design: Design) -> Iterator[Run]:
    """The last run of every main that others branch off."""
    parents = {run.joins for run in design.runs}
    onward = {run.joins for run in design.runs if run.id in parents}
    yield from (run for run in design.runs if run.id in parents and run.id not in onward)


def _with_bleed(design: Design, gate_set: GateSet, end: Run) -> Design:
    """The design with an inlet of the bore of a main at its end, behind a gate that is open in one set."""
    name = fresh_name(_BLEED, {machine.id for machine in design.machines} | {run.id for run in design.runs})
    bore = as_shown(bore_of(end, stock_sizes(design)), "bore", design.display or "metric")
    port = Port(id="inlet", bore=bore, needs=parse("0 m3/h", "flow"), loss=_BLEED_LOSS)
    run = Run(
        id=name, joins=end.id, as_="branch", angle=whole_degrees(45), toward="up", size=end.size,
        pieces=(Gate(name=f"{name} gate"),), ends=f"{name}/inlet",
    )  # fmt: skip
    opened = replace(gate_set, open=(*gate_set.open, name))
    return replace(
        design, machines=(*design.machines, Machine(id=name, ports=(port,))), runs=(*design.runs, run),
        gate_sets=tuple(opened if one is gate_set else one for one in design.gate_sets),
    )  # fmt: skip


def _stronger(collector: Collector, factor: float) -> Collector | None:
    """The collector with so many times the suction at each flow of its curve; None without a curve."""
    if not collector.curve:
        return None
    points = (replace(point, pressure=parse(f"{point.pressure.si * factor:.1f} Pa", "pressure")) for point in collector.curve)
    return replace(collector, curve=tuple(points))
