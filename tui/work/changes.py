"""What an edit did to the figure that matters where it was made: old -> new, in one line."""

from __future__ import annotations

from engine.air.gate_sets import SetResult
from engine.checks.assess import Assessment
from engine.design import Machine, Run, system
from engine.design.names import label
from engine.design.places import PortAt
from engine.units import number_text, unit_name
from tui.work.document import Document


def describe(document: Document, before: Assessment | None, after: Assessment | None) -> str:
    """ "speed 11.4 -> 12.1 m/s" of the selected run, the flow of the selected machine, or the collector's flow; "" without change."""
    if before is None or after is None:
        return ""
    name = document.gate_set.name
    old, new = _set(before, name), _set(after, name)
    if old is None or new is None or new.balance is None:
        return "no answer in this gate set" if new is not None and new.balance is None else ""
    label, dimension, measure = _figure(document)
    values = (measure(old) if old.balance else None), measure(new)
    if None in values:  # not there before, or under another name
        return ""
    units = system(document.design)
    texts = [number_text(value, dimension, units) for value in values]
    return f"{label} {texts[0]} -> {texts[1]} {unit_name(dimension, units)}" if texts[0] != texts[1] else ""


def _set(assessment: Assessment, name: str) -> SetResult | None:
    return next((result for result in assessment.sets if result.gate_set.name == name), None)


def _figure(document: Document):
    """Label, dimension and measure (SetResult -> SI value or None) of the figure to show."""
    selected = document.selected
    port = _port(document, selected)
    run = document.selected_run
    if port is not None:
        return f"{port} flow", "flow", lambda result: _attribute(result.balance.ports.get(port), "flow")
    if isinstance(run, Run):
        return f"{run.id} speed", "speed", lambda result: _attribute(result.balance.runs.get(run.id), "velocity")
    return "flow", "flow", lambda result: result.balance.flow


def _port(document: Document, selected: object) -> str | None:
    if isinstance(selected, Machine) and selected.ports:
        return f"{selected.id}/{selected.ports[0].id}"
    if isinstance(document.selection, PortAt):
        return label(document.design, document.selection)
    return None


def _attribute(state: object | None, name: str) -> float | None:
    return None if state is None else getattr(state, name)
