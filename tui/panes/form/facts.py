"""What follows from the selected thing and the solved air: the lines below the form's fields."""

from __future__ import annotations

from collections.abc import Iterable

from engine import catalog, edits
from engine.air.balance import PartLoss, part_loss, part_losses, velocity_pressure
from engine.air.ducts import area
from engine.checks.assess import Assessment
from engine.design import (
    Collector,
    Conveying,
    CurvePoint,
    Design,
    Gate,
    Hose,
    Leakage,
    Machine,
    Run,
    Site,
    Stock,
    Straight,
    bore_of,
    gate_sets_of,
    stock_sizes,
    system,
)  # fmt: skip
from engine.design.from_catalog import speed_limits
from engine.design.places import EndOf, GateSetAt, JointOf, OutletPieceAt, PieceAt, Place, SizeAt, ThrottleAt
from engine.units import number_text, show, show_about
from engine.units.words import counted


def facts(design: Design, assessment: Assessment | None, index: int, place: Place) -> list[str]:
    """One or two sentences about what stands at `place`, in the gate set at `index`; none before the first results."""
    if assessment is None:
        return []
    units = system(design)
    match place:
        case PieceAt(run, _) | JointOf(run) | EndOf(run):
            if assessment.sets[index].balance is None:
                return [assessment.sets[index].trouble]
            part = place.piece if isinstance(place, PieceAt) else "joint" if isinstance(place, JointOf) else "port"
            return [_loss(_of_part(assessment, index, design.runs[run].id, part), units)]
        case OutletPieceAt(piece):
            return [_outlet_loss(assessment, index, piece, units)]
        case SizeAt():
            return _size(design, place)
        case GateSetAt(gate_set):
            return _gate_set(assessment, gate_set, units)
        case ThrottleAt():
            return [_throttle(design, assessment, place, units)]
    item = edits.at(design, place)
    match item:
        case tuple():
            return [f"{len(item)} of them; a adds one" if item else "none yet; a adds one"]
        case Run():
            return _run(design, assessment, index, item)
        case Collector():
            return _collector(assessment, index, units)
        case Site():
            air = assessment.air
            return [f"air {show(air.density, 'density', units)}, viscosity {air.viscosity * 1e6:.1f} uPa s"]
        case Conveying():
            return _conveyed(item)
        case Leakage():
            return [_leakage(assessment, index, units)]
        case CurvePoint():
            return ["the curve's flows rise from point to point"]
        case Stock():
            row = catalog.roughness(item.material)
            return [f"{counted(len(item.sizes), 'size')}; roughness of {item.material}: {row.source}"]
        case Machine():
            return _machine(design, item)
        case Design():
            return [f"{counted(len(item.runs), 'run')}, {counted(len(item.machines), 'machine')}, {counted(len(gate_sets_of(item)), 'gate set')}"]
    return []


def _of_part(assessment: Assessment, index: int, run: str, part: str | int) -> list[PartLoss]:
    balance = assessment.sets[index].balance
    return [loss for loss in part_losses(assessment.tree, balance, run) if loss.part == part] if balance else []


def _loss(losses: list[PartLoss], units: str) -> str:
    """What a part costs: velocity pressures, pressure, and the length of pipe that costs as much."""
    if not losses:
        return "takes no suction"
    if any(loss.coefficient is None for loss in losses):
        return "shut in this gate set: no air, no loss"
    text = f"loss {_sum(loss.coefficient for loss in losses):.2f} VP, {show(_sum(loss.drop for loss in losses), 'pressure', units)}"
    if all(loss.pipe is not None for loss in losses) and _sum(loss.drop for loss in losses) > 0:
        text += f", as {show(_sum(loss.pipe for loss in losses), 'length', units, digits=1)} of this pipe"
    return text


def _sum(values: Iterable[float | None]) -> float:
    return sum(value for value in values if value is not None)


def _run(design: Design, assessment: Assessment, index: int, run: Run) -> list[str]:
    units = system(design)
    length = sum(piece.length.si for piece in run.pieces if isinstance(piece, (Straight, Hose)))
    bore = bore_of(run, stock_sizes(design))
    lines = [f"bore {show(bore, 'bore', units)}, {show(length, 'length', units)} long"]
    balance = assessment.sets[index].balance
    if balance and balance.runs[run.id].carries:
        lines[0] += f", loss {show(balance.runs[run.id].loss, 'pressure', units)}"
    band = assessment.limits(run.id)
    least = band.slow.value * area(bore)
    return [*lines, f"wants {show(least, 'flow', units)} for {show_about(band.slow.value, 'speed', units, least=True)}"]


def _collector(assessment: Assessment, index: int, units: str) -> list[str]:
    fan, balance = assessment.tree.fan, assessment.sets[index].balance
    lines = [f"{'an estimate' if fan.estimated else 'its curve'}: up to {show(fan.shut_off, 'pressure', units)}, {show(fan.high, 'flow', units)}"]
    if balance:
        lines.append(f"gives {show(balance.collector_pressure, 'pressure', units)} at {show(balance.flow, 'flow', units)}")
    return lines


def _outlet_loss(assessment: Assessment, index: int, piece: int, units: str) -> str:
    """What a piece of the duct to the outside costs at the flow of the gate set."""
    tree, balance = assessment.tree, assessment.sets[index].balance
    if balance is None:
        return assessment.sets[index].trouble
    outlet = tree.fan.outlet
    drop = sum(part_loss(part, tree, balance.flow) for part in outlet.parts if part.place == piece)
    pressure = velocity_pressure(balance.flow, outlet.bore, tree.air.density)
    return f"loss {drop / pressure:.2f} VP, {show(drop, 'pressure', units)}" if pressure else "no air, no loss"


def _leakage(assessment: Assessment, index: int, units: str) -> str:
    """What comes in where no port is, in the gate set at `index`."""
    balance = assessment.sets[index].balance
    if balance is None:
        return assessment.sets[index].trouble
    leaks = balance.flow - sum(port.flow for port in balance.ports.values())
    return f"{number_text(max(leaks, 0.0), 'flow', units)} of {show(balance.flow, 'flow', units)} leak in"


def _throttle(design: Design, assessment: Assessment, place: ThrottleAt, units: str) -> str:
    """What a throttled gate costs in its own gate set."""
    result, wanted = assessment.sets[place.gate_set], edits.at(design, place).gate
    if result.balance is None:
        return result.trouble
    run, at = next(
        (run.id, at) for run in design.runs for at, piece in enumerate(run.pieces) if isinstance(piece, Gate) and piece.name == wanted
    )  # fmt: skip
    return f"with {result.gate_set.name}: {_loss(_of_part(assessment, place.gate_set, run, at), units)}"


def _conveyed(item: Conveying) -> list[str]:
    limits = speed_limits(item)
    return [f"{name} from: {getattr(limits, name).source}" for name in ("slow_branch", "slow_main", "settles", "fast")]


def _size(design: Design, place: SizeAt) -> list[str]:
    reference = edits.label(design, place)
    metres = sum(
        piece.length.si
        for run in design.runs
        for piece in run.pieces
        if (isinstance(piece, Straight) and run.size == reference) or (isinstance(piece, Hose) and (piece.size or run.size) == reference)
    )
    return [f"{show(metres, 'length', system(design))} of it in this design"]


def _machine(design: Design, machine: Machine) -> list[str]:
    sets = [gate_set.name for gate_set in gate_sets_of(design) if machine.id in gate_set.open]
    return [f"at work in: {', '.join(sets)}" if sets else "at work in no gate set"]


def _gate_set(assessment: Assessment, index: int, units: str) -> list[str]:
    result = assessment.sets[index]
    if result.balance is None:
        return [result.trouble]
    return [f"{show(result.balance.flow, 'flow', units)} in all; {'no faults' if assessment.passes(result) else 'has faults'}"]
