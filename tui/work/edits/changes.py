"""What an edit did to the figure that matters where it was made: old -> new, in one line."""

from __future__ import annotations

from collections.abc import Callable

from engine.air.gate_sets import SetResult
from engine.air.one.balance import Balance
from engine.checks.assess import Assessment
from engine.design import Machine, system
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
    name, dimension, measure = _figure(document)
    was, now = measure(old.balance) if old.balance else None, measure(new.balance)
    if was is None or now is None:  # not there before, or under another name
        return ""
    units = system(document.design)
    before_text, after_text = (number_text(value, dimension, units) for value in (was, now))
    return f"{name} {before_text} -> {after_text} {unit_name(dimension, units)}" if before_text != after_text else ""


def _set(assessment: Assessment, name: str) -> SetResult | None:
    return next((result for result in assessment.sets if result.gate_set.name == name), None)


def _figure(document: Document) -> tuple[str, str, Callable[[Balance], float | None]]:
    """Name, dimension and measure, SI or None, of the figure to show."""
    port, run = _port(document, document.selected), document.selected_run
    if port is not None:
        return f"{port} flow", "flow", lambda balance: balance.ports[port].flow if port in balance.ports else None
    if run is not None:
        return f"{run.id} speed", "speed", lambda balance: balance.runs[run.id].velocity if run.id in balance.runs else None
    return "flow", "flow", lambda balance: balance.flow


def _port(document: Document, selected: object) -> str | None:
    if isinstance(selected, Machine) and selected.ports:
        return f"{selected.id}/{selected.ports[0].id}"
    if isinstance(document.selection, PortAt):
        return label(document.design, document.selection)
    return None
