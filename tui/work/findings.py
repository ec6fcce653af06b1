"""Going to what a finding is about."""

from __future__ import annotations

from engine.checks import Finding
from tui.work.document import Document
from tui.work.selection import row_of


def show_finding(document: Document, finding: Finding) -> None:
    """Select the place of a finding, and show the gate set that it happens in."""
    names = [gate_set.name for gate_set in document.gate_sets]
    if finding.gate_set in names:
        document.show_gate_set(names.index(finding.gate_set))
    document.select(row_of(document.design, finding.place))
