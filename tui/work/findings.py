"""Where in the design a finding is."""

from __future__ import annotations

from engine.checks import Finding
from engine.design import Design
from tui.work.selection import END, Place


def place_of(design: Design, finding: Finding) -> Place | None:
    """The place to select for a finding, or None when it is about nothing that can be selected."""
    where = finding.where
    if where == "collector":
        return ("collector",)
    for index, run in enumerate(design.runs):
        if run.id == where:
            return ("runs", index) if finding.piece is None else ("runs", index, "pieces", finding.piece)
    for index, run in enumerate(design.runs):
        if run.ends == where:
            return ("runs", index, END)
    return _port(design, where) or _size(design, where) or _gate_set(design, where)


def _port(design: Design, where: str) -> Place | None:
    for index, machine in enumerate(design.machines):
        if where == machine.id:
            return ("machines", index)
        for number, port in enumerate(machine.ports):
            if where == f"{machine.id}/{port.id}":
                return ("machines", index, "ports", number)
    return None


def _size(design: Design, where: str) -> Place | None:
    for index, stock in enumerate(design.stock):
        for number, size in enumerate(stock.sizes):
            if where == f"{stock.id}/{size.nominal}":
                return ("stock", index, "sizes", number)
    return None


def _gate_set(design: Design, where: str) -> Place | None:
    return next((("gate_sets", index) for index, gate_set in enumerate(design.gate_sets) if gate_set.name == where), None)
