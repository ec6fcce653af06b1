"""Where in the design a finding is."""

from __future__ import annotations

from engine.checks import Finding
from engine.design import Design
from engine.design.places import COLLECTOR, EndOf, GateSetAt, MachineAt, PieceAt, Place, PortAt, RunAt, SizeAt


def place_of(design: Design, finding: Finding) -> Place | None:
    """The place to select for a finding, or None when it is about nothing that can be selected."""
    where = finding.where
    if where == "collector":
        return COLLECTOR
    for index, run in enumerate(design.runs):
        if run.id == where:
            return RunAt(index) if finding.piece is None else PieceAt(index, finding.piece)
    for index, run in enumerate(design.runs):
        if run.ends == where:
            return EndOf(index)
    return _port(design, where) or _size(design, where) or _gate_set(design, where)


def _port(design: Design, where: str) -> Place | None:
    for index, machine in enumerate(design.machines):
        if where == machine.id:
            return MachineAt(index)
        for number, port in enumerate(machine.ports):
            if where == f"{machine.id}/{port.id}":
                return PortAt(index, number)
    return None


def _size(design: Design, where: str) -> Place | None:
    for index, stock in enumerate(design.stock):
        for number, size in enumerate(stock.sizes):
            if where == f"{stock.id}/{size.nominal}":
                return SizeAt(index, number)
    return None


def _gate_set(design: Design, where: str) -> Place | None:
    return next((GateSetAt(index) for index, gate_set in enumerate(design.gate_sets) if gate_set.name == where), None)
