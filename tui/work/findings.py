"""Going to what a finding is about."""

from __future__ import annotations

from engine.checks import Finding
from engine.design import Design
from engine.design.places import OfRun, Place, whole
from tui.work.document import Document
from tui.work.selection import row_of


def is_about(design: Design, finding: Finding, selected: Place) -> bool:
    """Whether a finding is about what is selected, or about a piece of the run that is."""
    place = row_of(design, finding.place)
    return place == selected or (isinstance(place, OfRun) and whole(place) == selected)


def show_finding(document: Document, finding: Finding) -> None:
    """Select the place of a finding, and show the gate set that it happens in."""
    names = [gate_set.name for gate_set in document.gate_sets]
    if finding.gate_set in names:
        document.show_gate_set(names.index(finding.gate_set))
    document.select(row_of(document.design, finding.place))
