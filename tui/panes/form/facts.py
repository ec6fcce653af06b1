"""What follows from the selected thing and the solved air: the lines below the form's fields."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from engine import catalog, edits
from engine.air.gate_sets import SetResult
from engine.air.one.balance import PartLoss, part_loss, part_losses, velocity_pressure
from engine.air.one.ducts import area
from engine.air.one.network import Discharging
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
from engine.values import dataclass


@dataclass(frozen=True, slots=True)
class _Solved:
    """A design in one of its gate sets, solved."""

    assessment: Assessment
    index: int

    @property
    def design(self) -> Design:
        return self.assessment.design

    @property
    def result(self) -> SetResult:
        return self.assessment.sets[self.index]

    def show(self, value: float, dimension: str, digits: int | None = None) -> str:
        return show(value, dimension, system(self.design), digits=digits)


def facts(assessment: Assessment, index: int, place: Place) -> list[str]:
    """One or two sentences about what stands at a place of the assessed design, in the gate set at `index`."""
    solved = _Solved(assessment, index)
    match place:
        case PieceAt(run, piece):
            return [_part(solved, run, piece)]
        case JointOf(run):
            return [_part(solved, run, "joint")]
        case EndOf(run):
            return [_part(solved, run, "port")]
        case OutletPieceAt(piece):
            return [_outlet_loss(solved, piece)]
        case SizeAt():
            return [_size(solved, place)]
        case ThrottleAt():
            return [_throttle(solved, place)]
        case GateSetAt(gate_set):
            return [_gate_set(_Solved(assessment, gate_set))]
    item = edits.at(solved.design, place)
    told = _ABOUT.get(type(item))
    return told(solved, item) if told else []


def _part(solved: _Solved, run: int, part: str | int) -> str:
    """What a piece, the joint or the port of a run costs."""
    if solved.result.balance is None:
        return solved.result.trouble
    return _loss(solved, _of_part(solved, solved.design.runs[run].id, part))


def _of_part(solved: _Solved, run: str, part: str | int) -> list[PartLoss]:
    balance = solved.result.balance
    return [loss for loss in part_losses(solved.assessment.tree, balance, run) if loss.part == part] if balance else []


def _loss(solved: _Solved, losses: list[PartLoss]) -> str:
    """What a part costs: pressure, velocity pressures, and the length of pipe that costs as much."""
    if not losses:
        return "takes no suction"
    if any(loss.coefficient is None for loss in losses):
        return "shut in this gate set: no air, no loss"
    drop = _sum(loss.drop for loss in losses)
    text = f"loss {solved.show(drop, 'pressure')}, {_in_velocity_pressures(_sum(loss.coefficient for loss in losses))}"
    if all(loss.pipe is not None for loss in losses) and drop > 0:
        text += f", as {solved.show(_sum(loss.pipe for loss in losses), 'length', digits=1)} of this pipe"
    return text


def _in_velocity_pressures(loss: float) -> str:
    return f"{loss:.2f} velocity pressures (VP)"


def _sum(values: Iterable[float | None]) -> float:
    return sum(value for value in values if value is not None)


def _outlet_loss(solved: _Solved, piece: int) -> str:
    """What a piece of the duct to the outside costs at the flow of the gate set."""
    tree, balance = solved.assessment.tree, solved.result.balance
    if balance is None:
        return solved.result.trouble
    if not isinstance(tree.fan, Discharging):  # the piece is not in use: nothing is blown outside
        return "no air, no loss"
    outlet = tree.fan.outlet
    drop = sum(part_loss(part, tree, balance.flow) for part in outlet.parts if part.place == piece)
    pressure = velocity_pressure(balance.flow, outlet.bore, tree.air.density)
    return f"loss {solved.show(drop, 'pressure')}, {_in_velocity_pressures(drop / pressure)}" if pressure else "no air, no loss"


def _size(solved: _Solved, place: SizeAt) -> str:
    reference = edits.label(solved.design, place)
    metres = sum(
        piece.length.si
        for run in solved.design.runs
        for piece in run.pieces
        if (isinstance(piece, Straight) and run.size == reference) or (isinstance(piece, Hose) and (piece.size or run.size) == reference)
    )
    return f"{solved.show(metres, 'length')} of it in this design"


def _throttle(solved: _Solved, place: ThrottleAt) -> str:
    """What a throttled gate costs in its own gate set."""
    own, wanted = _Solved(solved.assessment, place.gate_set), edits.at(solved.design, place).gate
    if own.result.balance is None:
        return own.result.trouble
    run, at = next(
        (run.id, at) for run in solved.design.runs for at, piece in enumerate(run.pieces) if isinstance(piece, Gate) and piece.name == wanted
    )  # fmt: skip
    return f"with {own.result.gate_set.name}: {_loss(solved, _of_part(own, run, at))}"


def _gate_set(solved: _Solved) -> str:
    result = solved.result
    if result.balance is None:
        return result.trouble
    return f"{solved.show(result.balance.flow, 'flow')} in all; {'no faults' if solved.assessment.passes(result) else 'has faults'}"


# By what stands at the place


def _rows(_: _Solved, rows: tuple[object, ...]) -> list[str]:
    return [f"{len(rows)} of them; a adds one" if rows else "none yet; a adds one"]


def _run(solved: _Solved, run: Run) -> list[str]:
    length = sum(piece.length.si for piece in run.pieces if isinstance(piece, (Straight, Hose)))
    bore = bore_of(run, stock_sizes(solved.design))
    lines = [f"bore {solved.show(bore, 'bore')}, {solved.show(length, 'length')} long"]
    balance = solved.result.balance
    if balance and balance.runs[run.id].carries:
        lines[0] += f", loss {solved.show(balance.runs[run.id].loss, 'pressure')}"
    slow = solved.assessment.limits(run.id).slow.value
    return [*lines, f"wants {solved.show(slow * area(bore), 'flow')} for {show_about(slow, 'speed', system(solved.design), least=True)}"]


def _collector(solved: _Solved, _: Collector) -> list[str]:
    fan, balance = solved.assessment.tree.fan, solved.result.balance
    known = "an estimate" if fan.estimated else "its curve"
    lines = [f"{known}: up to {solved.show(fan.shut_off, 'pressure')} total, {solved.show(fan.high, 'flow')}"]
    if balance:
        lines.append(f"gives {solved.show(balance.collector_pressure, 'pressure')} total at {solved.show(balance.flow, 'flow')}")
    return lines


def _site(solved: _Solved, _: Site) -> list[str]:
    air = solved.assessment.air
    return [f"air {solved.show(air.density, 'density')}, viscosity {air.viscosity * 1e6:.1f} uPa s"]


def _leakage(solved: _Solved, _: Leakage) -> list[str]:
    """What comes in where no port is, in the gate set."""
    balance = solved.result.balance
    if balance is None:
        return [solved.result.trouble]
    leaks = balance.flow - sum(port.flow for port in balance.ports.values())
    return [f"{number_text(max(leaks, 0.0), 'flow', system(solved.design))} of {solved.show(balance.flow, 'flow')} leak in"]


def _conveyed(_: _Solved, conveying: Conveying) -> list[str]:
    limits = speed_limits(conveying)
    return [f"{name} from: {getattr(limits, name).source}" for name in ("slow_branch", "slow_main", "settles", "fast")]


def _point(_: _Solved, _point: CurvePoint) -> list[str]:
    return ["the curve's flows rise from point to point"]


def _stock(_: _Solved, stock: Stock) -> list[str]:
    return [f"{counted(len(stock.sizes), 'size')}; roughness of {stock.material}: {catalog.roughness(stock.material).source}"]


def _machine(solved: _Solved, machine: Machine) -> list[str]:
    sets = [gate_set.name for gate_set in gate_sets_of(solved.design) if machine.id in gate_set.open]
    return [f"at work in: {', '.join(sets)}" if sets else "at work in no gate set"]


def _design(_: _Solved, design: Design) -> list[str]:
    return [f"{counted(len(design.runs), 'run')}, {counted(len(design.machines), 'machine')}, {counted(len(gate_sets_of(design)), 'gate set')}"]


_ABOUT: Mapping[type, Callable[[_Solved, Any], list[str]]] = {
    tuple: _rows, Run: _run, Collector: _collector, Site: _site, Leakage: _leakage, Conveying: _conveyed, CurvePoint: _point,
    Stock: _stock, Machine: _machine, Design: _design,
}  # fmt: skip
